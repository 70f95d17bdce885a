"""Solves the written-out trellis again, twice, with general-purpose tools: SciPy's Dijkstra on the
whole graph, and a NumPy recursion layer by layer. Both must find the program's own sum, and the path
it tells must exist, cost that sum, and have the largest edge it says. Then the same with the hardest
spot kept easy: of the paths with the fewest missed notes NumPy finds the smallest possible largest
edge (the bottleneck path), both solve what is left without dearer edges, and the program must have
found that largest edge and that sum.

usage: trellis_scipy.py PROGRAM FOLDER PROJECT…"""

import json
import pathlib
import subprocess
import sys

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra


def edges_of(pair):
    """Columns from, to, cost; of parallel edges only the cheapest."""
    edges = np.array(pair, dtype=np.int64).reshape(-1, 3)
    edges = edges[np.lexsort((edges[:, 2], edges[:, 1], edges[:, 0]))]
    first = np.ones(len(edges), dtype=bool)
    first[1:] = np.any(edges[1:, :2] != edges[:-1, :2], axis=1)
    return edges[first]


def by_layers(layers, edges):
    unreached = np.iinfo(np.int64).max // 4
    sums = layers[0].copy()
    for costs, pair in zip(layers[1:], edges):
        arriving = np.full(len(costs), unreached)
        np.minimum.at(arriving, pair[:, 1], sums[pair[:, 0]] + pair[:, 2])
        sums = np.where(arriving < unreached // 2, arriving + costs, unreached)
    return int(sums.min())


def graph_of(layers, edges):
    """The trellis as one sparse graph, its source and sink, and what to take off a distance."""
    # Dijkstra wants weights above zero. Every path has one edge per pair of layers, so the same
    # amount on every edge changes no order and is taken off again at the end.
    first = np.concatenate(([0], np.cumsum([len(layer) for layer in layers])))
    source, sink = first[-1], first[-1] + 1
    rows, columns, weights = [], [], []
    for i, pair in enumerate(edges):
        rows.append(first[i] + pair[:, 0])
        columns.append(first[i + 1] + pair[:, 1])
        weights.append(pair[:, 2] + layers[i + 1][pair[:, 1]])
    n_last = len(layers[-1])
    rows += [np.full(len(layers[0]), source), first[-2] + np.arange(n_last)]
    columns += [np.arange(len(layers[0])), np.full(n_last, sink)]
    weights += [layers[0], np.zeros(n_last, dtype=np.int64)]
    lift = 1 - min(int(w.min()) for w in weights if len(w))
    weights = np.concatenate(weights) + lift
    size = sink + 1
    graph = csr_array((weights.astype(float), (np.concatenate(rows), np.concatenate(columns))), shape=(size, size))
    return graph, source, sink, lift * (len(layers) + 1)


def by_dijkstra(layers, edges):
    graph, source, sink, lift = graph_of(layers, edges)
    return round(dijkstra(graph, indices=source)[sink]) - lift


def missed(costs):
    """How many thumb notes each node misses: a missed note costs 1000 points, nothing else nearly."""
    return np.maximum(costs, 0) // 1_000_000


def smallest_peak(layers, edges):
    """The smallest value that the largest edge of a path with the fewest missed notes can have."""
    # One number for both: missed notes count in units above any edge.
    unit, middle = 1 << 40, 1 << 39
    unreached = np.iinfo(np.int64).max // 2
    keys = missed(layers[0]) * unit
    for costs, pair in zip(layers[1:], edges):
        before = keys[pair[:, 0]]
        so_far = before // unit * unit + np.maximum(before % unit, pair[:, 2] + middle)
        arriving = np.full(len(costs), unreached)
        np.minimum.at(arriving, pair[:, 1], np.where(before < unreached, so_far, unreached))
        keys = np.where(arriving < unreached, arriving + missed(costs) * unit, unreached)
    return int(keys.min() % unit - middle)


def told_by(program, project):
    """What the program says: layers, edges, path, sum and max."""
    told = json.loads(subprocess.run([program, "trellis", project, "--json"], check=True, capture_output=True).stdout)
    assert told["format"] == "thumbwalk-trellis-1", told["format"]
    told["layers"] = [np.array(layer, dtype=np.int64) for layer in told["layers"]]
    told["edges"] = [edges_of(pair) for pair in told["edges"]]
    assert len(told["layers"]) == len(told["edges"]) + 1 == len(told["path"])
    return told


def check_path(told):
    """The path told is there, and has the sum and the largest edge told."""
    path = told["path"]
    used = []
    for pair, step in zip(told["edges"], zip(path, path[1:])):
        cost = pair[(pair[:, 0] == step[0]) & (pair[:, 1] == step[1]), 2]
        assert len(cost) == 1, f"there is no edge {step}"
        used.append(int(cost[0]))
    nodes = sum(int(layer[node]) for layer, node in zip(told["layers"], path))
    assert nodes + sum(used) == told["sum"], "the path costs something else"
    assert max(used + [0]) == told["max"], "the largest edge is another"


def judge(program, project):
    told = told_by(program, project)
    layers, edges = told["layers"], told["edges"]
    assert by_layers(layers, edges) == told["sum"], "NumPy finds another sum"
    assert by_dijkstra(layers, edges) == told["sum"], "SciPy finds another sum"
    check_path(told)
    n_edges = sum(len(pair) for pair in edges)
    print(f"trellis  {project}: {len(layers)} layers, {n_edges} edges, sum {told['sum']}: same by SciPy and NumPy")


def judge_easiest(program, folder, project):
    before, after = "keep_hardest_easy: false", "keep_hardest_easy: true"
    text = pathlib.Path(project).read_text(encoding="utf-8")
    assert text.count(before) == 1, f"{project} does not say `{before}`"
    easy = pathlib.Path(folder, f"easy-{pathlib.Path(project).name}")
    easy.write_text(text.replace(before, after), encoding="utf-8")
    told = told_by(program, easy)
    peak = smallest_peak(told["layers"], told["edges"])
    assert max(peak, 0) == told["max"], "NumPy finds another smallest largest edge"
    capped = [pair[pair[:, 2] <= peak] for pair in told["edges"]]
    assert by_layers(told["layers"], capped) == told["sum"], "NumPy finds another sum below the peak"
    assert by_dijkstra(told["layers"], capped) == told["sum"], "SciPy finds another sum below the peak"
    check_path(told)
    answer = f"largest edge {told['max']}, sum {told['sum']}"
    print(f"trellis  {project}, hardest spot easy: {answer}: same by SciPy and NumPy")


if __name__ == "__main__":
    for project in sys.argv[3:]:
        judge(sys.argv[1], project)
        judge_easiest(sys.argv[1], sys.argv[2], project)
