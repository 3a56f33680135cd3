//! The kept table: every field by every method, and what it comes to.
//!
//! In: nothing but the environment. Out: `tests/coverage.txt`, or a check that it is whole.

use std::fmt::Write;

use crate::draw::{Cells, Plants};
use crate::{Held, LEVELS, METHODS, cells_held, plants_held};

const CELLS: [&str; METHODS] = ["ours", "t", "logit t", "K-G", "independent"];
const PLANTS: [&str; METHODS] = ["ours", "t", "log t", "likelihood", "scattered"];
const HEAD: &str = "ours 90  ours 95 | t      logit  K-G    indep  | width 95";
const HEAD_PLANTS: &str = "ours 90  ours 95 | t      log t  likel  scatt  | width 95";

fn all_cells() -> impl Iterator<Item = Cells> {
    [4, 6, 8, 12, 20, 40].into_iter().flat_map(|spots| {
        [25, 100].into_iter().flat_map(move |cells| {
            [0.05, 0.15, 0.25, 0.40, 0.60, 0.85]
                .into_iter()
                .flat_map(move |share| {
                    [0.0, 0.05, 0.15, 0.30].into_iter().map(move |rho| Cells {
                        spots,
                        cells,
                        share,
                        rho,
                    })
                })
        })
    })
}

fn all_plants() -> impl Iterator<Item = Plants> {
    [4, 6, 8, 12, 20, 40].into_iter().flat_map(|spots| {
        [0.3, 1.0, 3.0, 8.0, 20.0]
            .into_iter()
            .flat_map(move |mean| {
                [0.5, 1.0, 3.0, 10.0]
                    .into_iter()
                    .map(move |k| Plants { spots, mean, k })
            })
    })
}

fn line(held: &Held) -> String {
    let [ours_90, ..] = held.shares[0];
    let [ours_95, others @ ..] = held.shares[1];
    let others = others.map(|share| format!("{share:.3}")).join("  ");
    format!(
        "   {ours_90:.3}    {ours_95:.3} | {others}  | {:.3}",
        held.width
    )
}

/// One line a method: in how many fields it holds the truth more than two points too seldom, and
/// the worst, at 90 and 95 %.
fn headline<'a>(
    out: &mut String,
    what: &str,
    names: [&str; METHODS],
    of: impl Iterator<Item = &'a Held>,
) {
    let rows: Vec<&Held> = of.collect();
    writeln!(out, "  {what} ({} fields)", rows.len()).unwrap();
    for (method, name) in names.iter().enumerate() {
        let mut said = format!("    {name:12}");
        for (at, level) in LEVELS.iter().enumerate() {
            let shares = rows.iter().map(|held| held.shares[at][method]);
            let short = shares
                .clone()
                .filter(|&share| share < level.level() - 0.02)
                .count();
            let worst = shares.fold(1.0, f64::min);
            write!(
                said,
                "  at {:.2}: short in {short:3}, worst {worst:.3}",
                level.level()
            )
            .unwrap();
        }
        writeln!(out, "{said}").unwrap();
    }
}

#[test]
fn the_kept_table() {
    let path = format!("{}/tests/coverage.txt", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("STANDBOOK_WRITE_TABLES").is_none() {
        // The other tests draw anew; here only that there is a table with all rows.
        let kept = std::fs::read_to_string(path).unwrap();
        let rows = all_cells().count() + all_plants().count();
        assert_eq!(kept.lines().filter(|l| l.contains(" | ")).count(), 2 + rows);
        return;
    }
    let draws = 4000;
    let cells: Vec<(Cells, Held)> = all_cells()
        .map(|field| (field, cells_held(field, draws)))
        .collect();
    let plants: Vec<(Plants, Held)> = all_plants()
        .map(|field| (field, plants_held(field, draws)))
        .collect();
    let mut out = format!(
        "Share of {draws} simulated fields whose interval holds the truth (one standard error is 0.005 at\n\
         0.90, 0.003 at 0.95). Made by tests/coverage, which says how. The others are shown at 0.95.\n\n\
         Short: more than two points below nominal.\n\nOccupied cells\n"
    );
    let some = |wanted: &dyn Fn(&Cells) -> bool| -> Vec<&Held> {
        cells
            .iter()
            .filter(|(field, _)| wanted(field))
            .map(|(_, held)| held)
            .collect()
    };
    for (what, rows) in [
        (
            "8 spots or more, share 0.15 to 0.85",
            some(&|f| f.spots >= 8 && f.share > 0.1),
        ),
        (
            "8 spots or more, share 0.05",
            some(&|f| f.spots >= 8 && f.share < 0.1),
        ),
        ("4 and 6 spots", some(&|f| f.spots < 8)),
    ] {
        headline(&mut out, what, CELLS, rows.into_iter());
    }
    writeln!(out, "\nspots cells  share  rho  {HEAD}").unwrap();
    for (field, held) in &cells {
        let Cells {
            spots,
            cells,
            share,
            rho,
        } = field;
        writeln!(
            out,
            "{spots:5} {cells:5}   {share:.2}  {rho:.2} {}",
            line(held)
        )
        .unwrap();
    }
    writeln!(out, "\nCounted plants, quadrats of 1 m2").unwrap();
    let some = |wanted: &dyn Fn(&Plants) -> bool| -> Vec<&Held> {
        plants
            .iter()
            .filter(|(field, _)| wanted(field))
            .map(|(_, held)| held)
            .collect()
    };
    for (what, rows) in [
        (
            "8 quadrats or more, k from 1",
            some(&|f| f.spots >= 8 && f.k >= 1.0),
        ),
        (
            "8 quadrats or more, k 0.5",
            some(&|f| f.spots >= 8 && f.k < 1.0),
        ),
        ("4 and 6 quadrats", some(&|f| f.spots < 8)),
    ] {
        headline(&mut out, what, PLANTS, rows.into_iter());
    }
    writeln!(out, "\nspots   mean     k       {HEAD_PLANTS}").unwrap();
    for (field, held) in &plants {
        let Plants { spots, mean, k } = field;
        writeln!(out, "{spots:5}  {mean:5.1}  {k:4.1}     {}", line(held)).unwrap();
    }
    std::fs::write(path, out).unwrap();
}
