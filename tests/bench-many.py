#!/usr/bin/env python3
"""Many jobs at a time: packs and pages a second, memory, cores, growth.

    python3 tests/bench-many.py [BINARY] [PACKS] [JOBS]

Writes PACKS (100) different jobs, issues them by one process and by all cores, a
tenth of them for the memory, and has JOBS (2000) judged. TYPST=… names the
typesetter's own command line of the same version; it then compiles the exported
document of one pack (`EXPORT=DIR cargo test export_a_pack`, DOCUMENT=DIR) once a
file, as a script round it would. Prints each measure beside its peer in the same
run; the machine may drift, so the runs that are compared are interleaved. Needs a
release build (`cargo build --release`) and Python; pypdf, if it is there, counts
the pages.
"""
import os, pathlib, platform, re, resource, shutil, statistics, subprocess, sys, tempfile, time

root = pathlib.Path(__file__).resolve().parent.parent
binary = str(pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else root / "target/release/cutback").resolve())
packs = int(sys.argv[2]) if len(sys.argv) > 2 else 100
jobs = int(sys.argv[3]) if len(sys.argv) > 3 else 2000
typst, document = os.environ.get("TYPST"), os.environ.get("DOCUMENT")
work = pathlib.Path(tempfile.mkdtemp())


def write(folder, count):
    """Jobs that differ in number, cable length, box and dressing."""
    folder.mkdir()
    shutil.copytree(root / "jobs/library", folder / "library")
    kinds = ["K-0417-P1", "D-2201-P4", "N-0316-P1", "J-0418-P1", "D-1106-P2"]
    texts = [(root / f"jobs/demo/{k}.yaml").read_text() for k in kinds]
    for i in range(count):
        text = texts[i % len(texts)]
        text = re.sub(r"number: \S+", f"number: Z-{i:05}", text, count=1)
        text = re.sub(r"  name: \"", f"  name: \"{i} ", text, count=0 if i == 0 else 1)
        text = re.sub(r"length: (\d+) m\b", lambda m: f"length: {int(m[1]) + i % 97} m", text, count=1)
        (folder / f"Z-{i:05}.yaml").write_text(text)
    return folder


def run(*args):
    """Wall, processor seconds and peak memory of one process."""
    start = time.perf_counter()
    process = subprocess.Popen(args, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    told = process.stderr.read()
    _, status, used = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    code = os.waitstatus_to_exitcode(status)
    if code not in (0, 1):
        sys.exit(f"{args}: {code}: {told[-400:]}")
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def issue(folder, name, *more):
    return run(binary, "issue", "--out", str(work / name), *more, str(folder))


def pages(folder):
    try:
        from pypdf import PdfReader
    except ImportError:
        return None
    return sum(len(PdfReader(p).pages) for p in folder.rglob("pack.pdf"))


cores = os.cpu_count()
print(f"{platform.machine()}, {cores} cores, {packs} packs, {jobs} jobs judged")
few, many = write(work / "few", max(packs // 10, 2)), write(work / "many", packs)
small = issue(few, "out-few", "--at-once", "1")
one = issue(many, "out-one", "--at-once", "1")
all_cores = issue(many, "out-all")
issued = len(list((work / "out-one").rglob("pack.pdf")))
count = pages(work / "out-one")
same = all(
    p.read_bytes() == (work / "out-all" / p.relative_to(work / "out-one")).read_bytes()
    for p in (work / "out-one").rglob("*") if p.is_file()
)
print(f"packs issued {issued} of {packs}; the same bytes by one and by all: {'yes' if same else 'NO'}")
print(f"one at a time        {one[0] / issued:7.3f} s a pack wall, {one[1] / issued:7.3f} s processor")
if count:
    print(f"pages                {count}; {count / one[1]:.1f} a second and core")
print(f"all cores            {all_cores[0] / issued:7.3f} s a pack wall; {one[0] / all_cores[0]:.2f} times one")
print(f"peak memory          {small[2]:.0f} MB at {max(packs // 10, 2)}, {one[2]:.0f} MB at {packs}: ratio {one[2] / small[2]:.2f}; all cores {all_cores[2]:.0f} MB")
if typst and document:
    theirs = [
        run(typst, "compile", "--root", document, "--ignore-system-fonts", "--font-path", f"{document}/fonts",
            "--pdf-standard", "a-3a,ua-1", f"{document}/pack.typ", str(work / "x.pdf"))
        for _ in range(min(packs, 10))
    ]
    cpu = statistics.median(t[1] for t in theirs)
    print(f"typst compile a file {statistics.median(t[0] for t in theirs):7.3f} s wall, {cpu:7.3f} s processor; ours {cpu / (one[1] / issued):.2f} times as fast")

print("judging")
last = None
for n in (10, 100, jobs // 10, jobs):
    folder = write(work / f"check-{n}", n)
    wall, cpu, peak = run(binary, "check", "--format", "json", "--at-once", "1", str(folder))
    slope = "" if last is None else f"; slope {(cpu - last[1]) / (n - last[0]) * 1000:.2f} ms a job" if n > last[0] else ""
    print(f"{n:7} jobs {wall:8.2f} s wall {cpu:8.2f} s processor {peak:6.0f} MB{slope}")
    last = (n, cpu)
starts = [run(binary, "--help")[0] * 1000 for _ in range(20)]
print(f"--help                {statistics.median(starts):.1f} ms")
shutil.rmtree(work)
