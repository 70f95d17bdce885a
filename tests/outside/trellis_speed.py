"""Times the pass through one trellis of 32 bars: ours and general-purpose ones, one after the other,
on the same machine. Prints a table and judges only that all find the same sum. What is the same for
all (reading the trellis, building arrays or a graph) is left out of the times.

usage: cargo build --release && target/outside-venv/bin/python tests/outside/trellis_speed.py \\
         target/release/thumbwalk        (tests/outside/run PROGRAM makes that environment)"""

import json
import pathlib
import subprocess
import sys
import tempfile
import time

import numpy as np
from scipy.sparse.csgraph import dijkstra

from trellis_scipy import graph_of
from trellis_scipy import told_by

# The tune of tests/benches/tune.
BARS = ["Fmaj7", "Em7b5 A7b9", "Dm7 G13", "Cm9 F7#9", "Bbmaj7", "Bbm6 Eb9", "Am7 D7alt", "Gm7 C7"]
UNREACHED = np.int32(1 << 30)


class ByPlace:
    """Edges as the trellis tells them; `minimum.at` collects what arrives at a node."""

    def __init__(self, pair, n_next):
        self.start, self.end, self.cost = (np.ascontiguousarray(pair[:, i].astype(np.int32)) for i in range(3))
        self.n_next = n_next

    def arriving(self, sums):
        best = np.full(self.n_next, UNREACHED)
        np.minimum.at(best, self.end, sums[self.start] + self.cost)
        return best

    def into(self, node):
        return np.flatnonzero(self.end == node)


class Sorted(ByPlace):
    """Edges sorted by the node they lead to, so that `minimum.reduceat` takes a run of them at once."""

    def __init__(self, pair, n_next):
        super().__init__(pair[np.argsort(pair[:, 1], kind="stable")], n_next)
        self.nodes, self.first = np.unique(self.end, return_index=True)
        self.last = np.append(self.first[1:], len(self.end))

    def arriving(self, sums):
        best = np.full(self.n_next, UNREACHED)
        best[self.nodes] = np.minimum.reduceat(sums[self.start] + self.cost, self.first)
        return best

    def into(self, node):
        i = np.searchsorted(self.nodes, node)
        return np.arange(self.first[i], self.last[i])


def by_numpy(layers, pairs):
    """The smallest sum and the path to it."""
    rows = [layers[0]]
    for costs, pair in zip(layers[1:], pairs):
        rows.append(np.minimum(pair.arriving(rows[-1]) + costs, UNREACHED))
    node = int(rows[-1].argmin())
    path = [node]
    for row, pair in zip(rows[-2::-1], pairs[::-1]):
        into = pair.into(node)
        node = int(pair.start[into[(row[pair.start[into]] + pair.cost[into]).argmin()]])
        path.append(node)
    return int(rows[-1].min()), path[::-1]


def least_ms(job, rounds):
    """The least of many rounds: other work on the machine can only add to it."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        answer = job()
        times.append(1e3 * (time.perf_counter() - start))
    return min(times), answer


def main(program):
    with tempfile.TemporaryDirectory() as folder:
        chart = pathlib.Path(folder, "speed.chart.txt")
        chart.write_text("| " + " | ".join(BARS * 4) + " |\n", encoding="utf-8")
        told = told_by(program, chart)
        bench = ["cargo", "bench", "--quiet", "--bench", "pass", "--", str(chart)]
        ours = json.loads(subprocess.run(bench, check=True, capture_output=True, text=True).stdout)
    layers = [costs.astype(np.int32) for costs in told["layers"]]
    after = list(zip(told["edges"], map(len, layers[1:])))
    by_place, in_order = [ByPlace(*pair) for pair in after], [Sorted(*pair) for pair in after]
    graph, source, sink, lift = graph_of(told["layers"], told["edges"])

    at, (sum_at, _) = least_ms(lambda: by_numpy(layers, by_place), 51)
    reduceat, (sum_reduceat, _) = least_ms(lambda: by_numpy(layers, in_order), 51)
    scipy, distance = least_ms(lambda: dijkstra(graph, indices=source, return_predecessors=True)[0][sink], 5)
    sums = {told["sum"], ours["sum"], sum_at, sum_reduceat, round(distance) - lift}
    assert len(sums) == 1, f"not the same sums: {sums}"

    written, demand = ours["written_out_us"] / 1e3, ours["on_demand_us"] / 1e3
    print(f"{len(layers)} layers, {sum(map(len, told['edges']))} edges, sum {told['sum']}; least times in ms")
    for what, ms in [
        ("ours, edges made when needed", demand),
        ("ours, every edge written out before", written),
        ("NumPy, minimum.at", at),
        ("NumPy, minimum.reduceat, edges sorted before", reduceat),
        ("SciPy, Dijkstra, graph built before", scipy),
    ]:
        print(f"  {what:<46}{ms:8.2f}   {ms / demand:6.1f} times the first")


if __name__ == "__main__":
    main(sys.argv[1])
