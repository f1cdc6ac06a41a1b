"""Runs the reference job in plumestone, R and Python in turn, and writes docs/performance.md.

    python3 tests/bench/run.py BUILD [RUNS [MOST]]

Every job is run RUNS times (9; the short ones of the demo study three times as often), one program after the other, so that a busy machine is busy for all. Told are the least and
the median of seconds on the clock and of processor seconds, and the most memory. MOST specimens (10000000, a file of 0.8 GB) are the largest study.
"""
import json
import os
import statistics
import subprocess
import sys
import time

BUILD = sys.argv[1]
RUNS = int(sys.argv[2]) if len(sys.argv) > 2 else 9
SHORT_RUNS = 3 * RUNS  # so that short jobs outlast a slow while of the machine
MOST = int(sys.argv[3]) if len(sys.argv) > 3 else 10000000
SIZES = [n for n in (100000, 300000, 1000000, 3000000, 10000000) if n <= MOST]
WORK = os.path.join(BUILD, "bench")
PROGRAM = os.path.join(BUILD, "plumestone")
STUDY = "datasets/roof-terrace-pavers/study.ini"
NO_GNUPLOT = "no gnuplot:"
LESS = "least squares only"
DEMANDS = ["--target", "compressive_strength=12MPa", "--limit", "density=1900kg/m3", "--reference", "gravel-00", "--quiet"]


def run_once(command):
    """Clock seconds, processor seconds and MiB of one run. A command that begins with NO_GNUPLOT finds no gnuplot."""
    alone = command[0] == NO_GNUPLOT
    start = time.perf_counter()
    child = subprocess.Popen(command[1:] if alone else command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                             env={"PATH": "/nonexistent"} if alone else None)
    _, status, usage = os.wait4(child.pid, 0)
    clock = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1):
        sys.exit(f"{' '.join(command)} ended with {child.returncode}")
    return clock, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def race(contestants, runs):
    """Runs each of the named commands in turn, after one run of each that does not count, if more than one does."""
    found = {name: [] for name in contestants}
    for command in contestants.values() if runs > 1 else ():
        run_once(command)
    for _ in range(runs):
        for name, command in contestants.items():
            found[name].append(run_once(command))
    return {name: list(zip(*runs_of)) for name, runs_of in found.items()}


def seconds(value):
    return f"{value * 1000:.0f} ms" if value < 1 else f"{value:.2f} s"


def table(title, results, note=""):
    """Markdown: ratios are of the least processor seconds and of the least clock seconds, over the first row."""
    names = list(results)
    cpu_first, clock_first = min(results[names[0]][1]), min(results[names[0]][0])
    lines = [f"\n## {title}\n\n{note}", "| program | clock, least | clock, median | processor, least | processor, median | memory |"
             " times the clock | times the processor |", "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"]
    for name in names:
        clock, cpu, memory = results[name]
        lines.append(f"| {name} | {seconds(min(clock))} | {seconds(statistics.median(clock))} | {seconds(min(cpu))} |"
                     f" {seconds(statistics.median(cpu))} | {max(memory):.0f} MiB | {min(clock) / clock_first:.1f} |"
                     f" {min(cpu) / max(cpu_first, 1e-3):.1f} |")
    return "\n".join(lines) + "\n"


def study(specimens):
    """A study of so many invented specimens, made once."""
    folder = os.path.join(WORK, str(specimens))
    path = os.path.join(folder, "specimens.csv")
    if not os.path.exists(path):
        os.makedirs(folder, exist_ok=True)
        subprocess.run([os.path.join(WORK, "generate-large-study"), folder, str(specimens)], check=True)
    return path


def reference_job(specimens, mixed):
    """mixed: the others fit random batches as well; numpy, which has no such fit, runs beside them by least squares."""
    path = study(specimens)
    python = ["/usr/bin/python3", "tests/bench/reference.py", path]
    job = {"plumestone, random batches": [PROGRAM, "recommend", *DEMANDS, path]}
    if mixed:
        job["R, data.table and lme4"] = ["Rscript", "tests/bench/reference.R", path, "mixed"]
        job["Python, pandas and statsmodels"] = [*python, "mixed"]
        job[f"Python, pandas and numpy, {LESS}"] = python
    else:
        job["R, data.table and lm"] = ["Rscript", "tests/bench/reference.R", path, "least-squares"]
        job["Python, pandas and numpy"] = python
    return job


def results_of_demo():
    """The demo study as ready values, for programs that compute none."""
    shown = subprocess.run([PROGRAM, "results", "--study", STUDY, "--quiet", "--json"], check=True, capture_output=True).stdout
    columns = ["specimen", "mix", "batch", "aggregate", "aggregate_fraction", "age_days", "moisture", "density_kg_m3",
               "compressive_strength_mpa"]
    path = os.path.join(WORK, "results.csv")
    with open(path, "w", encoding="utf-8") as out:
        out.write(",".join(columns) + "\n")
        for row in json.loads(shown)["specimens"]:
            out.write(",".join("" if row[column] is None else str(row[column]) for column in columns) + "\n")
    return path


def same_for_any_threads(results):
    answers = {subprocess.run([os.path.join(WORK, "refits"), results, str(n)], check=True, capture_output=True).stdout for n in (1, 2, 3, 8)}
    if len(answers) != 1:
        sys.exit("the refits differ from one number of threads to another")


def profile(path):
    """Where the time goes, by perf when it is there."""
    data = os.path.join(WORK, "perf.data")
    try:
        subprocess.run(["perf", "record", "-q", "-o", data, PROGRAM, "recommend", *DEMANDS, path], check=True,
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        text = subprocess.run(["perf", "report", "-i", data, "--no-children", "--stdio", "--percent-limit", "1.5"], check=True,
                              capture_output=True, text=True).stdout
    except (OSError, subprocess.CalledProcessError):
        return "perf is not installed here, so nothing is told.\n"
    rows = [line.split() for line in text.splitlines() if "%" in line and not line.startswith("#")]
    return "| share | function |\n| ---: | --- |\n" + "".join(f"| {row[0]} | `{row[-1]}` |\n" for row in rows if len(row) > 3)


def machine():
    with open("/proc/cpuinfo", encoding="utf-8") as cpu:
        model = next((line.split(":")[1].strip() for line in cpu if line.startswith("model name")), "unknown processor")
    return f"{os.cpu_count()} cores, {model}; load {os.getloadavg()[0]:.1f} when it began"


HEAD = """# Performance

Written by `make bench` on {machine}. R and Python do by hand what one command does here: read twelve columns, compute
density and strength, tell each mix's means, fit log strength and density on the fraction of three aggregates, and look for the
lightest fraction whose next batch meets two demands (`tests/bench/reference.R`, `tests/bench/reference.py`). The program fits five laws
with random batches to each, resamples the batches 400 times, checks every value and flags outliers besides; on long files it
uses two processors. All run in turn (runs of each: {runs}, of the demo study's {short}); "times" is over the least of the first row. On a machine that does other work the processor's seconds tell more
than the clock's.
"""


def least(results, name, which=0):
    """The least clock (0) or processor (1) seconds of a contestant."""
    return min(results[name][which])


def times_faster(results, which=0):
    """How many times faster the first contestant is than the fastest of the others that do the same job."""
    first, *others = (name for name in results if "`wc" not in name and not name.startswith("plumestone, 2") and LESS not in name)
    return min(least(results, name, which) for name in others) / max(least(results, first, which), 1e-3)


class Page:
    """The page so far; written after every part, so that a run broken off leaves what it found."""

    def __init__(self):
        self.text = HEAD.format(machine=machine(), runs=RUNS, short=SHORT_RUNS)
        self.aims = []

    def aim(self, what, aimed, reached):
        self.aims.append(f"| {what} | {aimed} | {reached} |")

    def add_aims(self):
        self.add("\n## What was aimed at\n\n| what | aim | here |\n| --- | ---: | ---: |\n" + "\n".join(self.aims) + "\n")

    def add(self, part):
        self.text += part
        with open("docs/performance.md", "w", encoding="utf-8") as out:
            out.write(self.text)


def demo_parts(page):
    demo = {"`recommend`": [PROGRAM, "recommend", "--study", STUDY, "--quiet"],
            "`compare`": [PROGRAM, "compare", "--study", STUDY, "--quiet"],
            "`report` without pictures": [NO_GNUPLOT, PROGRAM, "report", "--study", STUDY, "--quiet", "--output", os.path.join(WORK, "plain")],
            "`report` with all pictures": [PROGRAM, "report", "--study", STUDY, "--quiet", "--output", os.path.join(WORK, "report")]}
    results = race(demo, SHORT_RUNS)
    page.add(table("The demo study", results))
    page.aim("`recommend`, the demo study", "10 ms", seconds(least(results, "`recommend`")))
    page.aim("`report` without pictures", "30 ms", seconds(least(results, "`report` without pictures")))
    page.aim("`report` with all pictures", "1.5 s", seconds(least(results, "`report` with all pictures")))
    ready = results_of_demo()
    same_for_any_threads(ready)
    refits = {"plumestone, 1 thread": [os.path.join(WORK, "refits"), ready, "1"],
              "plumestone, 2 threads": [os.path.join(WORK, "refits"), ready, "2"],
              "R, lme4 and lm.wfit": ["Rscript", "tests/bench/refits.R", ready]}
    raced = race(refits, RUNS)
    page.aim("10,000 refits, times faster than R (1 thread, clock)", "50", f"{times_faster(raced):.1f}")
    page.add(table("10,000 refits with batches drawn again", raced,
                   "Each redraws the batches of every mix, refits two curves and looks for the best fraction again. Limits were the same "
                   "to the last digit on 1, 2, 3 and 8 threads.\n\n"))


def growth_part(page, most):
    """The largest study beside a million specimens, which are run three times before each of its runs and three times after."""
    million, largest = ([PROGRAM, "recommend", *DEMANDS, study(n)] for n in (1000000, most))
    ratios = []
    for _ in range(RUNS):
        before = [run_once(million) for _ in range(3)]
        large = run_once(largest)
        beside = list(zip(*before, *(run_once(million) for _ in range(3))))
        ratios.append([one / statistics.median(of) for one, of in zip(large, beside)])
    what = ("the clock", "the processor", "the memory")
    rows = [f"| {name} | {statistics.median(of):.1f} | {min(of):.1f} to {max(of):.1f} |\n" for name, of in zip(what, zip(*ratios))]
    page.add(f"\n{most} specimens beside a million ({RUNS} pairs), how many times the million's:\n\n| what | median | from least to most |\n"
             "| --- | ---: | --- |\n" + "".join(rows))
    for name, of in zip(what, zip(*ratios)):
        page.aim(f"{most} specimens, times {name} of a million (median of pairs)", f"{most / 1000000:.0f}", f"{statistics.median(of):.1f}")


def size_parts(page):
    million = study(1000000)
    contestants = reference_job(1000000, False)
    contestants["`wc -l`, to read the bytes alone"] = ["wc", "-l", million]
    raced = race(contestants, RUNS)
    own = raced["plumestone, random batches"]
    page.aim("a million specimens, times faster than the faster peer (clock)", "7", f"{times_faster(raced):.1f}")
    page.aim("a million specimens, memory", "100 MB", f"{max(own[2]) * 1.048576:.0f} MB")
    page.add(table("A million specimens", raced,
                   "R and Python fit by least squares here; the program keeps its random batches.\n\n"))
    sizes = {f"{n} specimens": [PROGRAM, "recommend", *DEMANDS, study(n)] for n in SIZES}
    page.add(table("Time and memory by size", race(sizes, RUNS)))
    if SIZES[-1] > 1000000:
        growth_part(page, SIZES[-1])
    page.add("\n## Where the time goes with a million specimens\n\n" + profile(million))


def main():
    page = Page()
    small = race(reference_job(180, True), RUNS)
    page.add(table("180 specimens", small, "R and statsmodels fit random batches here, as the program does.\n\n"))
    page.aim("180 specimens, times faster than the faster peer with random batches (clock)", "70", f"{times_faster(small):.1f}")
    demo_parts(page)
    size_parts(page)
    page.add_aims()
    print("wrote docs/performance.md")


main()
