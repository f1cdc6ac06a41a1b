// Looks over the page that is open and returns a list of complaints, one string each. Runs inside the browser.
const complaints = [];
const visible = (element) => element.getClientRects().length > 0 && getComputedStyle(element).visibility === "visible";
const brief = (element) =>
    `<${element.tagName.toLowerCase()}> '${(element.getAttribute("alt") ?? element.textContent).trim().slice(0, 50)}'`;
const all = (selector) => [...document.querySelectorAll(selector)];
const complain = (wrong, element, what) => { if (wrong) complaints.push(element ? `${brief(element)}: ${what}` : what); };

function frame() {
    complain(!document.documentElement.lang, null, "the page does not say its language");
    complain(!document.title.trim(), null, "the page has no title");
    complain(all("h1").length !== 1, null, `${all("h1").length} headings h1 where one belongs`);
    let before = 0;
    for (const heading of all("h1, h2, h3, h4, h5, h6")) {
        const level = Number(heading.tagName[1]);
        complain(level > before + 1, heading, "skips a level of headings");
        complain(!heading.textContent.trim(), heading, "is an empty heading");
        before = level;
    }
    const seen = new Set();
    for (const element of all("[id]")) {
        complain(seen.has(element.id), element, `id '${element.id}' stands twice`);
        seen.add(element.id);
    }
    complain(/\b(nan|null|undefined)\b/i.test(document.body.innerText), null, "a number that is none stands in the text");
}

// Nothing may stick out to the right but inside a box that scrolls by itself.
function width() {
    const scrolls = (element) => ["auto", "scroll"].includes(getComputedStyle(element).overflowX);
    const inScroller = (element) => element && (scrolls(element) || inScroller(element.parentElement));
    const root = document.documentElement;
    complain(root.scrollWidth > root.clientWidth, null, `the page is ${root.scrollWidth} px wide in a window of ${root.clientWidth}`);
    for (const element of all("body *"))
        complain(visible(element) && element.getBoundingClientRect().right > root.clientWidth + 1 && !inScroller(element.parentElement),
                 element, "sticks out to the right");
    for (const element of all("body *").filter(scrolls))
        complain(element.tabIndex < 0 || !element.getAttribute("aria-label"), element, "scrolls, but not by keyboard or without a name");
}

function pictures() {
    const texts = new Set();
    for (const picture of all("img, svg")) {
        const box = picture.getBoundingClientRect();
        const text = (picture.getAttribute("alt") ?? picture.getAttribute("aria-label") ?? "").trim();
        complain(!visible(picture) || box.width < 100 || box.height < 60, picture, "cannot be seen");
        complain(picture.tagName === "IMG" && !(picture.complete && picture.naturalWidth > 0 && picture.naturalHeight > 0),
                 picture, "did not load");
        complain(text.length < 15, picture, "has no alternative text to speak of");
        complain(texts.has(text), picture, "has the alternative text of another picture");
        texts.add(text);
    }
}

function tables() {
    for (const table of all("table").filter(visible)) {
        const headings = [...table.querySelectorAll("thead th")];
        const cells = (row) => [...row.cells].reduce((sum, cell) => sum + cell.colSpan, 0);
        complain(headings.length === 0, table, "has no headings");
        complain(headings.some((heading) => heading.scope !== "col"), table, "has a heading without its scope");
        complain(headings.some((heading, i) => i > 0 && !heading.textContent.trim()), table, "has an empty heading");
        for (const row of table.querySelectorAll("tbody tr"))
            complain(cells(row) !== headings.length, row, "has another number of cells than the headings");
        complain(!table.querySelector("tbody tr"), table, "has no rows");
    }
}

function links() {
    for (const link of all("a")) {
        const target = link.getAttribute("href") ?? "";
        complain(!link.textContent.trim(), link, "has no text");
        complain(!target.startsWith("#") && !target.startsWith("https://"), link, `leads to '${target}', which may not be there`);
        complain(target.startsWith("#") && !document.getElementById(decodeURIComponent(target.slice(1))), link, `leads nowhere: '${target}'`);
    }
}

// Contrast of text to what is behind it, as WCAG 2.2 counts it: at least 4.5.
function contrast() {
    const rgba = (colour) => (colour.match(/[\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
    const light = (colour) => {
        const [red, green, blue] = rgba(colour).map((part) =>
            part / 255 <= 0.04045 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4);
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const paper = (element) => {
        if (!element) return "rgb(255, 255, 255)";
        const colour = getComputedStyle(element).backgroundColor;
        return (rgba(colour)[3] ?? 1) > 0 ? colour : paper(element.parentElement);
    };
    for (const element of all("body *").filter(visible)) {
        if (![...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim())) continue;
        const [dark, bright] = [light(getComputedStyle(element).color), light(paper(element))].sort((a, b) => a - b);
        const ratio = (bright + 0.05) / (dark + 0.05);
        complain(ratio < 4.5, element, `is hard to read: contrast ${ratio.toFixed(1)}`);
        complain(!matchMedia("print").matches && parseFloat(getComputedStyle(element).fontSize) < 11, element, "is smaller than 11 px");
    }
}

[frame, width, pictures, tables, links, contrast].forEach((look) => look());
return complaints;
