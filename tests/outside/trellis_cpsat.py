"""Proves small trellises with a general constraint solver, CP-SAT of OR-Tools, which knows nothing
of layers in time: every node and every edge is a yes or no, one node per layer, one edge per pair of
layers, which joins the two nodes taken. It must prove the program's own sum to be the smallest. With
the hardest spot kept easy it first proves how few notes must be missed, then the smallest possible
largest edge with so few, then the smallest sum with no dearer edge. The charts are written here, one
to four bars for hands and necks without much choice, so that the whole problem is small enough and
nothing has to be left out of it.

usage: trellis_cpsat.py PROGRAM FOLDER [PROJECT…]    (the projects are not read)"""

import pathlib
import sys

from ortools.sat.python import cp_model

from trellis_scipy import check_path
from trellis_scipy import missed
from trellis_scipy import told_by

PROJECT = """(format: "thumbwalk-project", version: 1, key: "{key}", meter: "{meter}", tempo: {tempo}, feel: "straight",
instrument: (frets: {frets}, capo: {capo}, scale_mm: {scale_mm}), hand: (reach_permille: {reach}, barre: {barre}),
line: (approach: "{approach}", walk: "{walk}", open_strings: {open_strings}, keep_hardest_easy: {easy}),
sections: [(name: "A", bars: [{bars}])])"""

USUAL = {
    "key": "C major", "meter": "4/4", "tempo": 120, "frets": 12, "capo": 0, "scale_mm": 648.0, "reach": 1000,
    "barre": "true", "approach": "below", "walk": "plain", "open_strings": "false",
}

# A chart, and what differs from the usual: bars by `|`, chords of a bar spread evenly over four beats.
CHARTS = [
    ("F7 | Bb7", {}),
    ("Gm7 C7", {"approach": "above", "reach": 900}),
    ("Dm7 G7 | Cmaj7", {"frets": 7, "tempo": 200}),
    ("Am7b5 D7b9 | Gm6", {"frets": 9, "approach": "easiest", "barre": "false"}),
    ("Cm7 F7 | Bbmaj7 G7", {"capo": 3, "frets": 12, "tempo": 240}),
    ("A7 | N.C. | D13", {"frets": 9, "open_strings": "true", "reach": 800}),
    ("Em7 A7 | Fdim7 Em7 | A7#9 | D6", {"frets": 8, "barre": "false", "tempo": 220}),
    ("Ebmaj7 C7 | Fm7 Bb7", {"frets": 8, "walk": "runs", "key": "Eb major", "tempo": 180}),
]


def project(chart, changes, easy):
    bars = []
    for bar in chart.split("|"):
        chords = bar.split()
        places = [f'(at: {i * 3840 // len(chords)}, chord: "{chord}")' for i, chord in enumerate(chords)]
        bars.append(f"(chords: [{', '.join(places)}])")
    return PROJECT.format(bars=", ".join(bars), easy=str(easy).lower(), **(USUAL | changes))


class Model:
    """A trellis as a constraint model."""

    def __init__(self, layers, edges):
        self.model = cp_model.CpModel()
        nodes = [[self.model.new_bool_var("") for _ in layer] for layer in layers]
        for layer in nodes:
            self.model.add_exactly_one(layer)
        self.pairs = []
        self.sum = sum(cp_model.LinearExpr.weighted_sum(n, c.tolist()) for n, c in zip(nodes, layers))
        self.missed = sum(cp_model.LinearExpr.weighted_sum(n, missed(c).tolist()) for n, c in zip(nodes, layers))
        for here, after, pair in zip(nodes, nodes[1:], edges):
            taken = [self.model.new_bool_var("") for _ in pair]
            leaving, arriving = [[] for _ in here], [[] for _ in after]
            for edge, (start, end, _) in zip(taken, pair.tolist()):
                leaving[start].append(edge)
                arriving[end].append(edge)
            # One edge goes out of and into every node that is taken, none of the others.
            for node, joined in zip(here + after, leaving + arriving):
                self.model.add(sum(joined) == node)
            costs = pair[:, 2].tolist()
            cost = cp_model.LinearExpr.weighted_sum(taken, costs)
            self.pairs.append((taken, costs, cost))
            self.sum += cost

    def least(self, expression):
        """The smallest value, proved."""
        self.model.minimize(expression)
        solver = cp_model.CpSolver()
        # With these it proves such problems in a fraction of the time it otherwise takes.
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_presolve = False
        status = solver.solve(self.model)
        assert status == cp_model.OPTIMAL, solver.status_name(status)
        return round(solver.objective_value)

    def least_sum(self):
        """The smallest sum of nodes and edges, proved."""
        return self.least(self.sum)

    def least_peak(self):
        """The smallest possible largest edge with as few missed notes as possible, proved."""
        self.model.add(self.missed == self.least(self.missed))
        every = [cost for _, costs, _ in self.pairs for cost in costs]
        peak = self.model.new_int_var(min(every), max(every), "")
        for _, _, cost in self.pairs:
            self.model.add(cost <= peak)
        return self.least(peak)

    def cap(self, peak):
        """Forbids every edge dearer than this."""
        for taken, costs, _ in self.pairs:
            for edge, cost in zip(taken, costs):
                if cost > peak:
                    self.model.add(edge == 0)


def judge(program, folder, n, chart, changes):
    file = pathlib.Path(folder, f"small-{n}.ron")
    file.write_text(project(chart, changes, easy=False), encoding="utf-8")
    plain = told_by(program, file)
    check_path(plain)
    proved = Model(plain["layers"], plain["edges"]).least_sum()
    assert proved == plain["sum"], f"{chart}: CP-SAT proves {proved}, not {plain['sum']}"

    file.write_text(project(chart, changes, easy=True), encoding="utf-8")
    easy = told_by(program, file)
    check_path(easy)
    peak = Model(easy["layers"], easy["edges"]).least_peak()
    assert max(peak, 0) == easy["max"], f"{chart}: CP-SAT proves a largest edge of {peak}, not {easy['max']}"
    capped = Model(easy["layers"], easy["edges"])
    capped.cap(peak)
    proved = capped.least_sum()
    assert proved == easy["sum"], f"{chart}: CP-SAT proves {proved} below the peak, not {easy['sum']}"

    n_edges = sum(len(pair) for pair in plain["edges"])
    print(
        f"trellis  {chart}: {len(plain['layers'])} layers, {n_edges} edges: CP-SAT proves sum {plain['sum']}; "
        f"hardest spot easy: largest edge {easy['max']} instead of {plain['max']}, sum {easy['sum']}"
    )
    return plain["max"] > easy["max"]


if __name__ == "__main__":
    differ = [judge(*sys.argv[1:3], n, *chart) for n, chart in enumerate(CHARTS)]
    assert sum(differ) >= 3, "in too few of the charts the two questions have different answers"
