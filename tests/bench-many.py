#!/usr/bin/env python3
"""Speed and memory beside other programs, as one table: every figure and its peer in
the same run, by turns where the two are compared, because a machine may drift.

    python3 tests/bench-many.py [--quick] [--only one,batch,check,remedies,photos,start]
                                [--binary target/release/cutback] [--packs N] [--jobs N]

Builds the release binary where there is none. Installs its peers under target/bench:
by pip PyYAML, WeasyPrint, pypdf, numpy and Pillow; by cargo a bare reader of YAML
(the crate that reads our jobs, nothing else). TYPST=… names the typesetter's own
command line of our version; without one it is installed by cargo (some ten minutes),
or with --no-typst left out. --quick takes small sizes, a few minutes in all: for a
look, not for the record; --packs and --jobs (1000 and 10000) take others. needs: Python 3.10, sha256sum.
"""
import argparse
import concurrent.futures
import os
import pathlib
import platform
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

root = pathlib.Path(__file__).resolve().parent.parent
bench = root / "target/bench"
parser = argparse.ArgumentParser()
parser.add_argument("--quick", action="store_true")
parser.add_argument("--only", default="one,batch,check,remedies,photos,start")
parser.add_argument("--binary", default=str(root / "target/release/cutback"))
parser.add_argument("--no-typst", action="store_true")
parser.add_argument("--packs", type=int)
parser.add_argument("--jobs", type=int)
args = parser.parse_args()
if args.jobs and args.jobs < (20 if args.quick else 1000):
    parser.error("--jobs: too few to see how it grows")
only = args.only.split(",")
cores = os.cpu_count() or 1
PAIRS = 3 if args.quick else 10
PACKS = args.packs or (10 if args.quick else 1000)
MOST = args.jobs or (200 if args.quick else 10000)
JOBS = [MOST // 20, MOST // 5, MOST // 2, MOST] if args.quick else [MOST // 1000, MOST // 100, MOST // 10, MOST]
PHOTOS = 10 if args.quick else 140
work = pathlib.Path(tempfile.mkdtemp(prefix="bench-"))
rows = []


def row(measure, ours, beside, ratio, goal, met):
    """One line of the table; `met` is true, false or None where it was not measured."""
    word = {True: "met", False: "NOT MET", None: "–"}[met]
    rows.append((measure, ours, beside, ratio, goal, word))
    print("  " + " | ".join(rows[-1]), flush=True)


def spread(values, unit="s", places=2):
    low, middle, high = min(values), statistics.median(values), max(values)
    return f"{middle:.{places}f} {unit} ({low:.{places}f} to {high:.{places}f})"


class Run:
    """Wall, processor seconds and peak memory (MB) of one process and its children."""

    def __init__(self, *command, good=(0,), cwd=None, core=None):
        command = [str(part) for part in command]
        told = tempfile.TemporaryFile()
        hold = None if core is None else lambda: os.sched_setaffinity(0, {core})
        start = time.perf_counter()
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=told, cwd=cwd, preexec_fn=hold)
        _, status, used = os.wait4(process.pid, 0)
        self.wall = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        self.cpu, self.peak = used.ru_utime + used.ru_stime, used.ru_maxrss / 1024
        if process.returncode not in good:
            told.seek(0)
            sys.exit(f"{command}: code {process.returncode}: {told.read()[-600:].decode(errors='replace')}")


def by_turns(ours, theirs, times):
    """Both `times` over, the first of a pair by turns as well."""
    pairs = []
    for n in range(times):
        if n % 2:
            b, a = theirs(n), ours(n)
        else:
            a, b = ours(n), theirs(n)
        pairs.append((a, b))
    return pairs


def quietly(*command, **more):
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True, **more)
    if done.returncode:
        sys.exit(f"{command}: {(done.stdout + done.stderr)[-800:]}")
    return done.stdout


# --- peers -----------------------------------------------------------------
def python():
    """A Python with the peers that come by pip."""
    own = bench / "venv/bin/python"
    if not own.exists():
        quietly(sys.executable, "-m", "venv", bench / "venv")
    wanted = ["pyyaml", "weasyprint", "pypdf", "numpy", "pillow"]
    have = quietly(own, "-m", "pip", "list", "--format=freeze").lower()
    if missing := [w for w in wanted if f"{w}==" not in have]:
        quietly(own, "-m", "pip", "install", "--quiet", *missing)
    return own


def bare_reader():
    """A program that reads files into a value tree and does nothing else."""
    folder = bench / "bare-yaml"
    (folder / "src").mkdir(parents=True, exist_ok=True)
    crate = next(l for l in (root / "Cargo.toml").read_text().splitlines() if l.startswith("serde_yaml ="))
    (folder / "Cargo.toml").write_text(
        f'[package]\nname = "bare-yaml"\nversion = "0.0.0"\nedition = "2024"\n[workspace]\n[dependencies]\n{crate}\n'
    )
    (folder / "src/main.rs").write_text(
        "fn main() {\n    let mut groups = 0;\n    for path in std::env::args().skip(1) {\n"
        "        for entry in std::fs::read_dir(path).unwrap().flatten() {\n"
        "            if entry.path().extension().is_none_or(|e| e != \"yaml\") { continue; }\n"
        "            let text = std::fs::read_to_string(entry.path()).unwrap();\n"
        "            let tree: serde_yaml::Value = serde_yaml::from_str(&text).unwrap();\n"
        "            groups += tree.as_mapping().map_or(0, |m| m.len());\n        }\n    }\n"
        "    println!(\"{groups}\");\n}\n"
    )
    quietly("cargo", "build", "--release", "--quiet", cwd=folder)
    return folder / "target/release/bare-yaml"


def typesetter():
    if args.no_typst:
        return None
    version = re.search(r'^typst = "=(.*)"', (root / "Cargo.toml").read_text(), re.M)[1]
    tool = os.environ.get("TYPST") or bench / "bin/typst"
    if not pathlib.Path(tool).exists():
        quietly("cargo", "install", "--quiet", "--locked", "--root", bench, "--version", version, "typst-cli")
    said = quietly(tool, "--version").strip()
    if version not in said:
        sys.exit(f"{tool} is {said}, not {version}")
    return tool


def document():
    """The templates, fonts and data of one pack, for the typesetter's own command line."""
    folder = bench / "document"
    shutil.rmtree(folder, ignore_errors=True)
    quietly("cargo", "test", "--quiet", "export_a_pack", cwd=root, env={**os.environ, "EXPORT": str(folder)})
    return folder


# --- data ------------------------------------------------------------------
BOXES = ["K-0417-P1", "D-2201-P4", "N-0316-P1", "L-0853-P1"]
OTHERS = ["J-0418-P1", "G-0733-P1"]


def write(folder, count, names):
    """Jobs that differ in number, circuit and length of the cable."""
    folder.mkdir()
    shutil.copytree(root / "jobs/library", folder / "library")
    texts = [(root / f"jobs/demo/{name}.yaml").read_text() for name in names]
    for i in range(count):
        text = texts[i % len(texts)]
        text, found = re.subn(r"number: [\w-]+", f"number: Z-{i:05}", text, count=1)
        assert found == 1
        # A circuit of its own, or the jobs would be held against each other.
        text, found = re.subn(r'(circuit:\s*\{?\s*name: "?)', rf"\g<1>{i} ", text, count=1)
        assert found == 1, names[i % len(names)]
        text = re.sub(r"\blength: (\d+) m\b", lambda m: f"length: {int(m[1]) + i % 7} m", text, count=1)
        (folder / f"Z-{i:05}.yaml").write_text(text)
    return folder


def issue(folder, out, *more, core=None):
    return Run(args.binary, "issue", "--out", work / out, *more, folder, core=core)


def pages_of(folder):
    code = (
        "import sys, pathlib, pypdf\n"
        "print(sum(len(pypdf.PdfReader(p).pages) for p in pathlib.Path(sys.argv[1]).rglob('pack.pdf')))"
    )
    return int(quietly(python(), "-c", code, folder))


# --- measures --------------------------------------------------------------
def one_pack():
    tool, folder, job = typesetter(), document(), root / "jobs/demo/D-2201-P4.yaml"
    if tool is None:
        return row("one pack, cold process", "", "", "", "≤ 1.0", None)
    ours = lambda n: Run(args.binary, "issue", "--out", work / f"one-{n}", job)
    theirs = lambda n: compile_once(tool, folder, n)
    by_turns(ours, theirs, 1)
    for n in range(PAIRS):
        shutil.rmtree(work / f"one-{n}", ignore_errors=True)
    pairs = by_turns(ours, theirs, PAIRS)
    ratios = [a.wall / b.wall for a, b in pairs]
    row(
        "one pack, cold process, wall",
        spread([a.wall for a, _ in pairs]),
        "typst compile " + spread([b.wall for _, b in pairs]),
        f"{spread(ratios, '')}",
        "≤ 1.0",
        statistics.median(ratios) <= 1.0,
    )


def compile_once(tool, folder, n, core=None):
    return Run(
        tool, "compile", "--root", folder, "--ignore-system-fonts", "--font-path", folder / "fonts",
        "--pdf-standard", "a-3a,ua-1", "--creation-timestamp", "1935100800",
        folder / "pack.typ", work / f"{n}.pdf", core=core,
    )


def side_by_side(tool, folder):
    """What the cores are worth to processes that share nothing: one document on each
    core at once, beside the same alone on the last."""
    alone, beside = [], []
    with concurrent.futures.ThreadPoolExecutor(cores) as each:
        for _ in range(PAIRS):
            alone.append(compile_once(tool, folder, 0, cores - 1).wall)
            runs = each.map(lambda core: compile_once(tool, folder, core, core).wall, range(cores))
            beside.append(max(runs))
    return cores * statistics.median(alone) / statistics.median(beside)


def weasy_speed(pdf):
    """Pages a second and core of WeasyPrint on the words of a pack: a table a page, as
    plain as a page can be, its start not counted."""
    code = r"""
import sys, time, html, pypdf
import weasyprint
texts = [page.extract_text() for page in pypdf.PdfReader(sys.argv[1]).pages]
def table(text):
    lines = [l for l in text.splitlines() if l.strip()]
    cells = "".join(f"<tr><td>{i}</td><td>{html.escape(l)}</td></tr>" for i, l in enumerate(lines))
    return f"<section><h1>Page</h1><table>{cells}</table></section>"
style = "@page{size:A4;margin:12mm} section{break-after:page} table{border-collapse:collapse;font-size:5pt} td{border:.2pt solid #444}"
text = f"<style>{style}</style>" + "".join(map(table, texts))
start = time.process_time()
document = weasyprint.HTML(string=text).render()
document.write_pdf(sys.argv[2])
print(len(document.pages) / (time.process_time() - start))
"""
    return float(quietly(python(), "-c", code, pdf, work / "weasy.pdf"))


def batch():
    tool = typesetter()
    folder = document() if tool else None
    few, many = write(work / "few", max(PACKS // 100, 2) if args.quick else 10, BOXES + OTHERS), write(
        work / "many", PACKS, BOXES + OTHERS
    )
    # `--at-once 1` alone leaves the typesetter its own threads.
    small = issue(few, "out-few", "--at-once", "1", core=cores - 1)
    # The typesetter's runs between two halves of ours would need two batches; its
    # median of runs before and after stands for it.
    theirs = [compile_once(tool, folder, n) for n in range(PAIRS)] if tool else []
    one = issue(many, "out-one", "--at-once", "1", core=cores - 1)
    theirs += [compile_once(tool, folder, n) for n in range(PAIRS)] if tool else []
    all_cores = issue(many, "out-all", "--at-once", str(cores))
    few_all = issue(few, "out-few-all", "--at-once", str(cores))
    issued = sorted((work / "out-one").rglob("pack.pdf"))
    if len(issued) != PACKS:
        sys.exit(f"only {len(issued)} of {PACKS} packs were issued")
    for path in (work / "out-one/issued").rglob("*"):
        other = work / "out-all" / path.relative_to(work / "out-one")
        if path.is_file() and path.name != ".lock" and path.read_bytes() != other.read_bytes():
            sys.exit(f"{path} differs between one core and all")
    count = pages_of(work / "out-one")
    ours = count / one.cpu
    size = sum(p.stat().st_size for p in issued)
    print(f"  {count} pages in {PACKS} packs, {size / count / 1024:.1f} kB a page; same bytes by one core and by all")
    if tool:
        cpu = statistics.median(t.cpu for t in theirs)
        per_pack = pypages(work / "0.pdf")
        beside = per_pack / cpu
        row(
            f"pages a second and core, {PACKS} different jobs",
            f"{ours:.1f}",
            f"typst compile a file {beside:.1f} ({per_pack} pages, {spread([t.cpu for t in theirs])} processor)",
            f"{ours / beside:.2f}",
            "≥ 1.5",
            ours / beside >= 1.5,
        )
    weasy = [weasy_speed(issued[0]) for _ in range(min(PAIRS, 3))]
    row(
        "the same, beside WeasyPrint",
        f"{ours:.1f}",
        "WeasyPrint " + spread(weasy, "pages a second"),
        f"{ours / statistics.median(weasy):.1f}",
        "≥ 20",
        ours / statistics.median(weasy) >= 20,
    )
    row(
        f"peak memory, {PACKS} packs against {len(list(few.glob('Z-*.yaml')))}, on one core",
        f"{one.peak:.0f} MB",
        f"{small.peak:.0f} MB (all cores {all_cores.peak:.0f} against {few_all.peak:.0f} MB)",
        f"{one.peak / small.peak:.2f}",
        "≤ 1.25",
        one.peak / small.peak <= 1.25,
    )
    ceiling = f"; the typesetter's command line, one on each core: {side_by_side(tool, folder):.2f}" if tool else ""
    row(
        f"{cores} cores against one, {PACKS} packs, wall",
        f"{all_cores.wall:.1f} s",
        f"{one.wall:.1f} s{ceiling}",
        f"{one.wall / all_cores.wall:.2f}",
        f"≥ {0.9 * cores:.1f}",
        one.wall / all_cores.wall >= 0.9 * cores,
    )


def pypages(pdf):
    return int(quietly(python(), "-c", "import sys, pypdf; print(len(pypdf.PdfReader(sys.argv[1]).pages))", pdf))


C_LOADER = r"""
import sys, pathlib, yaml
for path in pathlib.Path(sys.argv[1]).glob("*.yaml"):
    yaml.load(path.read_text(), Loader=yaml.CSafeLoader)
"""


def judged():
    """Jobs without a box have no geometry to work out; those with one say its price."""
    reader = bare_reader()
    check = lambda folder: Run(args.binary, "check", "--format", "json", "--at-once", "1", folder, good=(0, 1))
    n = JOBS[-1]
    plain = write(work / "plain", n, OTHERS)
    times = 1 if not args.quick else 3
    pairs = by_turns(lambda _: check(plain), lambda _: Run(reader, plain), max(times, 3))
    python_too = Run(python(), "-c", C_LOADER, plain)
    ratios = [a.cpu / b.cpu for a, b in pairs]
    row(
        f"check of {n} jobs that have no box, processor",
        spread([a.cpu for a, _ in pairs]),
        f"bare YAML {spread([b.cpu for _, b in pairs])}; PyYAML's C loader {python_too.cpu:.2f} s",
        f"{spread(ratios, '')}; {statistics.median(a.cpu for a, _ in pairs) / python_too.cpu:.2f} of PyYAML",
        "≤ 3",
        statistics.median(ratios) <= 3,
    )
    seen = []
    for n in JOBS:
        folder = write(work / f"boxes-{n}", n, BOXES)
        seen.append((n, check(folder)))
        shutil.rmtree(folder)
    last = seen[-1][1]
    row(
        "check with geometry, ms a job (processor)",
        f"{last.cpu / n * 1000:.2f}",
        "–",
        f"{last.wall / n * 1000:.2f} wall",
        "stated",
        None,
    )
    slopes = [
        f"{(b.cpu - a.cpu) / (m - k) * 1000:.2f}" for (k, a), (m, b) in zip(seen, seen[1:])
    ]
    row(
        "growth of check, ms a further job from step to step",
        ", ".join(slopes),
        ", ".join(f"{n}: {r.cpu:.2f} s, {r.peak:.0f} MB" for n, r in seen),
        f"last to first {float(slopes[-1]) / max(float(slopes[0]), 1e-9):.2f}",
        "straight line",
        float(slopes[-1]) <= 1.25 * float(slopes[0]),
    )


def remedies():
    folder = work / "fifty"
    shutil.copytree(root / "jobs/library", folder / "library")
    kit = (root / "jobs/library/kits/ZQ24-1S-SLIP.yaml").read_text()
    for i in range(50):
        text = kit.replace("ZQ24-1S-SLIP", f"ZT-{i:02}")
        text = re.sub(r"phase_gap_least: \d+ mm", f"phase_gap_least: {40 + i} mm", text)
        (folder / f"library/kits/ZT-{i:02}.yaml").write_text(text)
    job = folder / "D-2201-P1.yaml"
    shutil.copy(root / "jobs/demo/D-2201-P1.yaml", job)
    runs = [Run(args.binary, "check", "--remedies", job, good=(0, 1)) for _ in range(PAIRS)]
    kits = len(list((folder / "library/kits").glob("*.yaml")))
    row(
        f"search for a way out, {kits} kits, whole process",
        spread([r.wall for r in runs]),
        "–",
        "",
        "< 1 s",
        statistics.median(r.wall for r in runs) < 1,
    )


PICTURES = r"""
import sys, pathlib, numpy, PIL.Image
out, count = pathlib.Path(sys.argv[1]), int(sys.argv[2])
out.mkdir(parents=True)
dice = numpy.random.default_rng(7)
y, x = numpy.mgrid[0:3000, 0:4000]
base = 110 + 60 * numpy.sin(x / 370) + 40 * numpy.cos(y / 230)
for i in range(count):
    rough = numpy.roll(base, 97 * i, axis=1)[..., None] + dice.normal(0, 14, (3000, 4000, 3))
    PIL.Image.fromarray(numpy.uint8(rough.clip(0, 255))).save(out / f"{i}.jpg", quality=88)
"""
DECODE = r"""
import sys, multiprocessing, pathlib, PIL.Image
def one(path):
    with PIL.Image.open(path) as image:
        image.load()
if __name__ == "__main__":
    with multiprocessing.Pool() as pool:
        pool.map(one, sorted(pathlib.Path(sys.argv[1]).glob("*.jpg")))
"""


def photos():
    out, job = work / "photos", "D-2201-P4"
    Run(args.binary, "issue", "--out", out, root / f"jobs/demo/{job}.yaml")
    pack = out / "issued/D-2201/TX2-HV/P4/pack.json"
    record = out / "record"
    quietly(python(), "-c", PICTURES, record / "photos", PHOTOS)
    files = sorted((record / "photos").glob("*.jpg"))
    size = sum(f.stat().st_size for f in files)
    sums = dict(reversed(l.split("  ")) for l in quietly("sha256sum", *files).splitlines())
    text = (root / f"jobs/demo/records/{job}/clean/record.yaml").read_text()
    text = re.sub(r"(?m)^  pack: .*$", "  pack: " + quietly("sha256sum", pack).split()[0], text, count=1)
    head, rest = text.split("\nphotos:\n", 1)
    body = re.match(r"(?:(?:  .*)?\n)*", rest)[0]
    kept = re.split(r"(?m)^(?=  - file:)", body)[1:]
    more = []
    for i, file in enumerate(files):
        one = re.sub(r"file: .*", f"file: photos/{file.name}", kept[i % len(kept)], count=1)
        more.append(re.sub(r"sha256: .*", f"sha256: {sums[str(file)]}", one, count=1))
    (record / "record.yaml").write_text(f"{head}\nphotos:\n{''.join(more)}{rest[len(body):]}")
    first, again, hashing, decoding = [], [], [], []
    for n in range(3):
        verify = lambda: Run(
            args.binary, "verify", record / "record.yaml", "--pack", pack, "--out", out / f"verified-{n}", good=(0, 1)
        )
        hashing.append(Run("sha256sum", *files))
        first.append(verify())
        decoding.append(Run(python(), "-c", DECODE, record / "photos"))
        again.append(verify())
    sum_cpu = [h.cpu + d.cpu for h, d in zip(hashing, decoding)]
    sum_wall = [h.wall / cores + d.wall for h, d in zip(hashing, decoding)]
    ratios = [f.cpu / s for f, s in zip(first, sum_cpu)]
    what = f"verify, {PHOTOS} photographs of {size / len(files) / 1e6:.1f} MB"
    row(
        f"{what}, first time, processor",
        spread([r.cpu for r in first]) + f"; wall {spread([r.wall for r in first])}",
        f"sha256sum and Pillow's decode {spread(sum_cpu)}; wall on all cores {spread(sum_wall)}",
        f"{spread(ratios, '')}",
        "≤ 1.3",
        statistics.median(ratios) <= 1.3,
    )
    ratios = [a.cpu / h.cpu for a, h in zip(again, hashing)]
    row(
        f"{what}, again, processor",
        spread([r.cpu for r in again]) + f"; wall {spread([r.wall for r in again])}",
        f"sha256sum {spread([h.cpu for h in hashing])}; wall {spread([h.wall for h in hashing])}",
        f"{spread(ratios, '')}",
        "≤ 1.3",
        statistics.median(ratios) <= 1.3,
    )


def start():
    runs = [Run(args.binary, "--help").wall * 1000 for _ in range(20 if args.quick else 100)]
    row("start of `cutback --help`", spread(runs, "ms", 1), "–", "", "< 10 ms", statistics.median(runs) < 10)


def main():
    bench.mkdir(parents=True, exist_ok=True)
    if not pathlib.Path(args.binary).exists():
        quietly("cargo", "build", "--release", "--quiet", cwd=root)
    processor = re.search(r"model name\s*: (.*)", pathlib.Path("/proc/cpuinfo").read_text())
    commit = subprocess.run(["git", "log", "-1", "--format=%h"], capture_output=True, text=True, cwd=root).stdout
    machine = f"{platform.machine()}, {cores} cores, {processor[1] if processor else ''}, Linux {platform.release()}"
    versions = quietly(python(), "-m", "pip", "list", "--format=freeze").lower()
    peers = re.findall(r"^(?:pyyaml|weasyprint|pillow)==.*$", versions, re.M)
    print(f"{machine}; {quietly('rustc', '--version').strip()}; at {commit.strip()}; Python {platform.python_version()}, {', '.join(peers)}")
    print(f"load before: {os.getloadavg()[0]:.1f}" + ("; QUICK: sizes too small for the record" if args.quick else ""))
    try:
        for name, part in (("start", start), ("one", one_pack), ("batch", batch), ("check", judged), ("remedies", remedies), ("photos", photos)):
            if name in only:
                part()
    finally:
        shutil.rmtree(work, ignore_errors=True)
    print(f"load after: {os.getloadavg()[0]:.1f}\n")
    print("| measure | ours | beside | ratio | goal | |\n|---|---|---|---|---|---|")
    for line in rows:
        print("| " + " | ".join(line) + " |")


if __name__ == "__main__":
    main()
