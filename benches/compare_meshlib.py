#!/usr/bin/env python3
"""Times `matloft measure` as a whole process beside PyPI `meshlib` in-process, on the same binary STL.

    pip install meshlib numpy
    cargo build --release
    cargo bench --bench measure -- write 1000000 ribbed.stl
    python3 benches/compare_meshlib.py ribbed.stl target/release/matloft

meshlib loads the file and computes the curvature at every vertex; numpy reads the file and adds up the areas, which is the
least that any program can do. Each is run several times, in turn; the fastest run counts. CPU seconds stand beside wall
seconds: they tell more when other work runs on the machine.
"""
import resource
import subprocess
import sys
import time

import meshlib.mrmeshnumpy
import meshlib.mrmeshpy
import numpy

RUNS = 5
RECORD = numpy.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def curvature(stl):
    mesh = meshlib.mrmeshpy.loadMesh(stl)
    return meshlib.mrmeshnumpy.getNumpyCurvature(mesh)


def plain_area_mm2(stl):
    a, b, c = numpy.fromfile(stl, RECORD, offset=84)["corners"].transpose(1, 0, 2).astype(float)
    return 0.5 * numpy.linalg.norm(numpy.cross(b - a, c - a), axis=1).sum()


def measure(program, stl):
    subprocess.run([program, "measure", stl, "--units", "mm", "--json"], check=True, stdout=subprocess.DEVNULL)


def seconds(work, *arguments):
    """Wall and CPU seconds of one run, child processes included."""
    def cpu():
        kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
        return sum(use.ru_utime + use.ru_stime for use in map(resource.getrusage, kinds))
    wall_before, cpu_before = time.perf_counter(), cpu()
    work(*arguments)
    return time.perf_counter() - wall_before, cpu() - cpu_before


def main():
    stl, program = sys.argv[1:3]
    jobs = {
        "matloft measure (process)": (measure, program, stl),
        "meshlib: load, curvature": (curvature, stl),
        "numpy: read, add areas": (plain_area_mm2, stl),
    }
    # First of all: a child begins with the memory of its parent, which soon holds the meshes of the others.
    measure(program, stl)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    best = {name: (float("inf"), float("inf")) for name in jobs}
    for _ in range(RUNS):
        for name, (work, *arguments) in jobs.items():
            best[name] = tuple(map(min, best[name], seconds(work, *arguments)))
    for name, (wall, cpu) in best.items():
        print(f"{name:28} {wall:8.3f} s wall {cpu:8.3f} s CPU")
    ours, theirs, least = best.values()
    print(f"matloft / meshlib {ours[0] / theirs[0]:.2f} wall, {ours[1] / theirs[1]:.2f} CPU; "
          f"matloft / plain sum {ours[0] / least[0]:.1f} wall, {ours[1] / least[1]:.1f} CPU")
    n_triangles = (numpy.memmap(stl, mode="r").size - 84) // 50
    print(f"peak memory of matloft {peak / 1e6:.0f} MB, {peak / n_triangles:.0f} bytes a triangle")


if __name__ == "__main__":
    main()
