"""Posteriors of an ordinary categorical naive Bayes classifier, for tests/outside.rs.

Made with Python 3.11.7, scikit-learn 1.9.1, pandas 3.1.1, numpy 2.4.6.

In a virtual environment outside this repository:

    python3 -m venv VENV && VENV/bin/pip install scikit-learn==1.9.1 pandas==3.1.1 numpy==2.4.6
    cd crates/identify/tests/reference && VENV/bin/python make.py

Reads zoo.csv and soybean.csv beside it. Writes zoo_posterior.csv and soybean_posterior.csv: one
line a row of the data set (`row`, from 0, then a column a class, classes sorted by their bytes),
CategoricalNB with alpha 1, fitted on all rows, `NA` one more category, 17 significant digits.
Prints the fold counts of README.md.
"""

import numpy as np
import pandas as pd
from sklearn.naive_bayes import CategoricalNB
from sklearn.preprocessing import OrdinalEncoder


def read(name, label, drop=()):
    data = pd.read_csv(name, dtype=str, keep_default_na=False).drop(columns=list(drop))
    y = data.pop(label)
    return data, y


def posterior(name, data, y, rows):
    x = OrdinalEncoder().fit_transform(data).astype(int)
    model = CategoricalNB(alpha=1.0).fit(x, y)
    p = model.predict_proba(x[rows])
    with open(name, "w", newline="\n") as out:
        out.write(",".join(["row", *model.classes_]) + "\n")
        for row, line in zip(rows, p):
            out.write(",".join([str(row), *(f"{v:.17g}" for v in line)]) + "\n")


def folds(data, y):
    enc = OrdinalEncoder().fit(data)
    x = enc.transform(data).astype(int)
    k = [len(c) for c in enc.categories_]
    fold = y.groupby(y).cumcount().values % 10
    right = 0
    for f in range(10):
        train = fold != f
        model = CategoricalNB(min_categories=k).fit(x[train], y[train])
        right += int((model.predict(x[~train]) == y[~train]).sum())
    return right


zoo, zoo_y = read("zoo.csv", "type", ["animal"])
soy, soy_y = read("soybean.csv", "Class")
posterior("zoo_posterior.csv", zoo, zoo_y, np.arange(len(zoo)))
# The first row of every class, and every 16th row from row 5.
first = soy_y.drop_duplicates().index
posterior("soybean_posterior.csv", soy, soy_y, sorted({*first, *range(5, len(soy), 16)}))
print("zoo", folds(zoo, zoo_y), "of", len(zoo))
print("soybean", folds(soy, soy_y), "of", len(soy))
