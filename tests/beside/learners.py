"""General-purpose learners of scikit-learn on two classic open data sets, for comparison.

In: a seed and how many repeats. Out, on stdout: JSON with versions and, for each data set and repeat, the fold of every
row (stratified, ten folds; classes of fewer than ten rows are spread as far as they go), how many rows
CategoricalNB and DecisionTreeClassifier name rightly, and what the tree asks: comparisons on the path
of a row, and different traits among them. `crates/identify/tests/learners.rs` walks the same folds.

Both learners run as they come (alpha 1; Gini, grown out, seed of the repeat). Missing cells are a
category of their own to CategoricalNB and the lowest code to the tree, which splits the codes of a
trait by size: that way it needs fewer comparisons than on one column a state.
"""

import csv
import json
import sys
import warnings
from pathlib import Path

import numpy as np
import sklearn
from sklearn.model_selection import StratifiedKFold
from sklearn.naive_bayes import CategoricalNB
from sklearn.tree import DecisionTreeClassifier

HERE = Path(__file__).resolve().parent
DATA = HERE.parent.parent / "crates/identify/tests/reference"
SETS = [("zoo", "type", "animal"), ("soybean", "Class", None)]


def read(name, label, leave_out):
    """Codes of all traits (0 for a missing cell), classes by number."""
    with open(DATA / f"{name}.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    traits = [t for t in rows[0] if t not in (label, leave_out)]
    classes = sorted({row[label] for row in rows})
    y = np.array([classes.index(row[label]) for row in rows])
    x = np.zeros((len(rows), len(traits)), dtype=int)
    for column, trait in enumerate(traits):
        states = sorted({row[trait] for row in rows} - {"NA"}, key=float)
        for at, row in enumerate(rows):
            x[at, column] = 0 if row[trait] == "NA" else 1 + states.index(row[trait])
    return x, y


def repeat(x, y, seed):
    folds = np.zeros(len(y), dtype=int)
    right_nb = right_tree = comparisons = traits = 0
    for fold, (train, test) in enumerate(StratifiedKFold(10, shuffle=True, random_state=seed).split(x, y)):
        folds[test] = fold
        bayes = CategoricalNB(min_categories=x.max(axis=0) + 1).fit(x[train], y[train])
        right_nb += int((bayes.predict(x[test]) == y[test]).sum())
        tree = DecisionTreeClassifier(random_state=seed).fit(x[train], y[train])
        right_tree += int((tree.predict(x[test]) == y[test]).sum())
        path = tree.decision_path(x[test])
        asked = tree.tree_.feature
        for row in range(len(test)):
            on_path = [asked[node] for node in path[row].indices if asked[node] >= 0]
            comparisons += len(on_path)
            traits += len(set(on_path))
    return {
        "seed": seed,
        "folds": "".join(str(fold) for fold in folds),
        "nb_right": right_nb,
        "tree_right": right_tree,
        "tree_comparisons": comparisons,
        "tree_traits": traits,
    }


def main():
    # scikit-learn warns of every class with fewer than ten rows.
    warnings.filterwarnings("ignore", message="The least populated class")
    first = int(sys.argv[1])
    sets = []
    for name, label, leave_out in SETS:
        x, y = read(name, label, leave_out)
        repeats = [repeat(x, y, (first + n) % 2**32) for n in range(int(sys.argv[2]))]
        sets.append({"name": name, "rows": len(y), "repeats": repeats})
    versions = {
        "python": sys.version.split()[0],
        "scikit-learn": sklearn.__version__,
        "numpy": np.__version__,
    }
    json.dump({"versions": versions, "sets": sets}, sys.stdout, indent=1)
    print()


main()
