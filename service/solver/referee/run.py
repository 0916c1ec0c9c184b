"""Makes random instances, asks CP-SAT (and SCIP for what it does not prove) for their optimum, and holds the solver against it in
the same run.

    python service/solver/referee/run.py --fit 900 --cover 100 --joint 1100

Seeds count from `--seed` on. Instances and CP-SAT's answers go to `--folder`, where what is already there is kept.
"""
import argparse
import collections
import json
import multiprocessing
import pathlib
import subprocess
import sys

import cover
import fit
import joint
import scip

KINDS = {"fit": fit, "cover": cover, "joint": joint}
# How many of a thousand instances are of each size.
SHARES = {
    "fit": {"small": 590, "medium": 240, "large": 60, "extreme": 20, "small-hard": 40, "medium-hard": 30,
            "large-hard": 10, "band-8": 10},
    "cover": {"small": 600, "medium": 280, "large": 90, "extreme": 30},
    "joint": {"small": 900, "medium": 70, "large": 30},
}
# Seconds that SCIP gets for each aim of what CP-SAT did not prove.
SCIP_SECONDS = 40


def asked(options):
    """(kind, size, seed) of every instance."""
    for kind, shares in SHARES.items():
        count, whole = getattr(options, kind), sum(shares.values())
        for size, share in shares.items():
            for seed in range(options.seed, options.seed + -(-count * share // whole)):
                yield kind, size, seed, options.limit, options.folder


def settle(job):
    """Makes one instance with the referees' answers, unless the folder holds it."""
    kind, size, seed, limit, folder = job
    file = folder / f"{kind}-{size}-{seed}.json"
    case = json.loads(file.read_text()) if file.exists() else KINDS[kind].generate(size, seed)
    known = case.get("expect")
    expect = known or KINDS[kind].solve(case, limit)
    if kind != "fit" and "second" not in expect:
        expect = scip.complete(case, expect, SCIP_SECONDS)
    if expect != known:
        case["expect"] = expect
        file.write_text(json.dumps(case, separators=(",", ":")))
    return file, "unknown, SCIP proves it" if "second" in expect else expect["status"]


def replay(example, files):
    """Builds an example of the solver and gives it the files; whether it found nothing wrong."""
    command = ["cargo", "run", "--release", "--quiet", "-p", "solver", "--example", example, "--"]
    listed = files[0].parent / f"{example}.txt"
    listed.write_text("".join(f"{file.resolve()}\n" for file in files))
    return subprocess.run(command + ["--list", str(listed.resolve())], check=False).returncode == 0


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for kind, count in (("fit", 900), ("cover", 100), ("joint", 1100)):
        parser.add_argument(f"--{kind}", type=int, default=count, help=f"how many {kind} problems, at least")
    parser.add_argument("--seed", type=int, default=0, help="the first seed")
    parser.add_argument("--limit", type=float, default=2, help="CP-SAT's own deterministic seconds for each search")
    parser.add_argument("--processes", type=int, default=1, help="how many instances CP-SAT works at a time")
    parser.add_argument("--folder", type=pathlib.Path, default=pathlib.Path("target/referee"))
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    files, said = collections.defaultdict(list), collections.Counter()
    with multiprocessing.Pool(options.processes) as pool:
        for file, status in pool.imap(settle, asked(options)):
            kind = file.name.split("-")[0]
            files[kind].append(file)
            said[kind, status] += 1
    for (kind, status), count in sorted(said.items()):
        print(f"{kind}: CP-SAT says {status} of {count}")
    right = [replay("replay_fit" if kind == "fit" else "replay_cover", files[kind]) for kind in files]
    sys.exit(0 if right and all(right) else 1)


if __name__ == "__main__":
    main()
