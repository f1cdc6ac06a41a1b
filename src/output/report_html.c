#include "output/report_html.h"

#include "output/escape.h"
#include "output/load.h"
#include "output/words.h"

#include <md4c-html.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* Plain and quiet; dark when the reader's screen is; wide tables scroll in their own box. */
static const char page_style[] =
    ":root{--ink:#26282b;--quiet:#5d636a;--paper:#fff;--rule:#d9dce0;--shade:#f4f5f6;--link:#1b4b82}"
    "@media(prefers-color-scheme:dark){:root{--ink:#e6e7e9;--quiet:#a6acb3;--paper:#191b1e;--rule:#3a3e43;--shade:#23262a;--link:#9ec1ea}}"
    "*{box-sizing:border-box}"
    "body{margin:0;background:var(--paper);color:var(--ink);font:17px/1.55 'DejaVu Sans','Liberation Sans',sans-serif;overflow-wrap:anywhere}"
    "main{max-width:56rem;margin:0 auto;padding:1.2rem 1rem 3rem}"
    "h1{font-size:1.5rem;line-height:1.25;margin:.3em 0 .8em}h2{font-size:1.2rem;margin:2.2em 0 .6em;padding-top:.5em;border-top:1px solid var(--rule)}"
    "h3{font-size:1.03rem;margin:1.6em 0 .5em}"
    "h1+p{font-size:1.12rem;line-height:1.45;background:var(--shade);border-left:5px solid #bf4f33;padding:.8rem 1rem;margin:0 0 1rem}h1+p strong{font-weight:inherit}"
    "a{color:var(--link)}code{font-size:.9em;background:var(--shade);padding:.1em .3em;border-radius:3px}"
    "p,ul{max-width:46rem}ul{padding-left:1.2rem}li{margin:.25em 0}"
    "@media(prefers-color-scheme:dark){img{filter:invert(.9) hue-rotate(180deg)}}@media print{img{filter:none}}"
    "img{display:block;width:100%;max-width:34rem;height:auto;margin:.6rem 0;background:#fff;border:1px solid var(--rule);border-radius:6px}"
    ".scroll{overflow-x:auto;margin:.8rem 0 1.2rem;background:linear-gradient(to right,var(--paper) 40%,transparent) 0 0/2.5rem 100% no-repeat local,"
    "linear-gradient(to left,var(--paper) 40%,transparent) 100% 0/2.5rem 100% no-repeat local,"
    "linear-gradient(to right,var(--rule),transparent) 0 0/.8rem 100% no-repeat scroll,"
    "linear-gradient(to left,var(--rule),transparent) 100% 0/.8rem 100% no-repeat scroll}"
    ".scroll:focus{outline:2px solid var(--link)}"
    "table{border-collapse:collapse;font-size:.82rem;line-height:1.35;overflow-wrap:normal;font-variant-numeric:tabular-nums}"
    "th,td{padding:.35rem .6rem;border-bottom:1px solid var(--rule);text-align:left;white-space:nowrap}"
    "th{color:var(--quiet);font-weight:600;vertical-align:bottom}th[align=right],td[align=right]{text-align:right}"
    "@media print{:root{--ink:#000;--quiet:#333;--paper:#fff;--rule:#bbb;--shade:#f4f5f6;--link:#000}body{font-size:10.5pt}main{max-width:none;padding:0}"
    "h2,h3,h2+p,h3+p,p:not(:has(img)):has(+p>img),p:has(+.scroll){break-after:avoid}img,tr,li,p,.scroll:not(:has(tr:nth-child(40))){break-inside:avoid}"
    ".scroll{background:none;overflow:visible}img{width:auto;max-width:10.4cm;max-height:11.8cm}table{font-size:7.6pt}"
    "th,td{padding:.2rem .3rem}th{white-space:normal}a{text-decoration:none}h2{margin-top:1.3em}h3{margin-top:1em}@page{margin:15mm 18mm}}";

static void add_base64(struct text *out, const struct text *bytes)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < bytes->length; i += 3) {
        size_t n = bytes->length - i < 3 ? bytes->length - i : 3;
        uint32_t group = 0;
        for (size_t j = 0; j < 3; j++)
            group = group << 8 | (j < n ? (unsigned char)bytes->bytes[i + j] : 0u);
        char four[4];
        for (size_t j = 0; j < 4; j++)
            four[j] = j > n ? '=' : digits[group >> (18 - 6 * j) & 63];
        text_add_bytes(out, four, 4);
    }
}

/* "charts/NAME.svg" becomes the picture itself. */
static enum status add_picture(struct text *out, const char *folder, const char *name, size_t length, struct problem *problem)
{
    char relative[256], path[LOAD_PATH];
    struct text picture = { 0 };
    snprintf(relative, sizeof relative, "%.*s", (int)length, name);
    enum status status = load_path(folder, relative, "", path, problem);
    if (status == STATUS_OK)
        status = load_file(path, &picture, problem);
    if (status == STATUS_OK) {
        text_add(out, "data:image/svg+xml;base64,");
        add_base64(out, &picture);
    }
    text_release(&picture);
    return status;
}

/* Small letters, digits and '-' of a heading, as the links of the report name it. */
static void add_slug(struct text *out, const char *heading, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        char c = heading[i];
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if (c == ' ')
            c = '-';
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-')
            text_add_bytes(out, &c, 1);
    }
}

static bool begins(const char *at, const char *word)
{
    return strncmp(at, word, strlen(word)) == 0;
}

/* A page on its way from plain HTML to the report's. */
struct dressing {
    struct text *out;
    const char *folder;
    const char *heading;   /* the last one met, up to its '<'; a table is called by it */
    enum status status;
    struct problem *problem;
};

/* Dresses one tag at `at`; returns the bytes of the source that it used, 0 when the tag may stay as it is. */
static size_t dress_tag(struct dressing *dressing, const char *at)
{
    struct text *out = dressing->out;
    static const char image[] = "<img src=\"charts/";
    if (begins(at, "<table>")) {
        text_add(out, "<div class=\"scroll\" role=\"region\" aria-label=\"table: ");
        text_add_bytes(out, dressing->heading, strcspn(dressing->heading, "<\""));
        text_add(out, "\" tabindex=\"0\"><table>");
        return 7;
    }
    if (begins(at, "</table>")) {
        text_add(out, "</table></div>");
        return 8;
    }
    if (begins(at, "<th>") || begins(at, "<th ")) {
        text_add(out, "<th scope=\"col\"");
        return 3;
    }
    if (begins(at, "<h2>") || begins(at, "<h3>")) {
        dressing->heading = at + 4;
        text_addf(out, "<h%c id=\"", at[2]);
        add_slug(out, at + 4, strcspn(at + 4, "<"));
        text_add(out, "\">");
        return 4;
    }
    if (begins(at, image)) {
        const char *name = at + sizeof "<img src=\"" - 1;
        size_t length = strcspn(name, "\"");
        text_add(out, "<img src=\"");
        dressing->status = add_picture(out, dressing->folder, name, length, dressing->problem);
        return sizeof "<img src=\"" - 1 + length;
    }
    return 0;
}

/* Text of the report cannot look like a tag: its '<' is "&lt;" by now. */
static enum status dress(const char *html, const char *folder, struct text *out, struct problem *problem)
{
    struct dressing dressing = { out, folder, "", STATUS_OK, problem };
    while (*html && dressing.status == STATUS_OK) {
        size_t used = *html == '<' ? dress_tag(&dressing, html) : 0;
        if (used == 0) {
            used = 1 + strcspn(html + 1, "<");
            text_add_bytes(out, html, used);
        }
        html += used;
    }
    return dressing.status;
}

static void take_html(const MD_CHAR *bytes, MD_SIZE length, void *out)
{
    text_add_bytes(out, bytes, length);
}

static void add_head(const char *title, struct text *out)
{
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'\">\n<title>");
    escape_html(out, title);
    text_add(out, "</title>\n<style>");
    text_add(out, page_style);
    text_add(out, "</style>\n</head>\n<body>\n<main>\n");
}

enum status report_html(const char *markdown, const char *title, const char *folder, struct text *out, struct problem *problem)
{
    struct text html = { 0 }, body = { 0 };
    add_head(title, out);
    int failed = md_html(markdown, (MD_SIZE)strlen(markdown), take_html, &html, MD_FLAG_TABLES | MD_FLAG_NOHTML, 0);
    words_add_unbroken(&body, html.bytes ? html.bytes : "");
    enum status status = failed || html.failed || body.failed ? problem_set(problem, STATUS_MEMORY, NULL, "no memory left to write the report")
                                               : dress(body.bytes ? body.bytes : "", folder, out, problem);
    text_add(out, "</main>\n</body>\n</html>\n");
    text_release(&html);
    text_release(&body);
    if (status == STATUS_OK && out->failed)
        return problem_set(problem, STATUS_MEMORY, NULL, "no memory left to write the report");
    return status;
}
