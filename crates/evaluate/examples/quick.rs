#![allow(missing_docs, clippy::unwrap_used)]
use standbook_evaluate::{outside::*, published::*, score::*, scouts::*};
use standbook_identify::*;
fn main() {
    let files =
        standbook_key::KeyFiles::read_folder(std::path::Path::new("keys/tallgrass-first-year"))
            .unwrap();
    let key = standbook_key::load(&files).key.unwrap();
    let m = Modelling::default();
    let table = Table::compile(&key);
    for reach in [Reach::Supported, Reach::Whole] {
        let ds = descriptions(&key, &table, reach, 1);
        let r = walk_unseen(
            &key,
            &ds,
            |k| Table::compile_with(k, &m),
            |t, d| Named::of(t, &assess(t, &d.evidence, Planted::ByRole), d.taxon),
        );
        show(&format!("{reach:?}"), &r);
        let s = StrangerScore::of(&strangers(&key, &table, &ds, |k| {
            Table::compile_with(k, &m)
        }));
        println!(
            "   strangers out {:.3} unnamed {:.3} leaning {:.3} settled {:.3}",
            s.outside.value(),
            s.unnamed.value(),
            s.leaning.value(),
            s.settled.value()
        );
    }
    let ty = typical_plants(&key, &table);
    let st = strangers(&key, &table, &ty, |k| Table::compile_with(k, &m));
    let s = StrangerScore::of(&st);
    println!(
        "typical strangers out {:.3} unnamed {:.3} leaning {:.3} settled {:.3}",
        s.outside.value(),
        s.unnamed.value(),
        s.leaning.value(),
        s.settled.value()
    );
    for x in st.iter().filter(|s| s.outcome == "settled") {
        println!("     {} -> {:?}", key.taxa[x.taxon].id, x.name);
    }
    let nature = Nature::of(&key, &table);
    for skill in SKILLS {
        for stage in STAGES {
            for seen in [Seen::Recorded, Seen::Everything] {
                let r = full_walks(&table, &nature, skill, stage, seen, 20, 7);
                show(&format!("{} {stage:?} {seen:?}", skill.name), &r);
            }
            let g = guided_walks(&table, &nature, skill, stage, 5, 7);
            let n: Vec<_> = g.iter().map(|g| g.named).collect();
            show("   guided", &n);
            println!(
                "     looks {:.1} s {:.0}",
                g.iter().map(|g| g.looks as f64).sum::<f64>() / g.len() as f64,
                g.iter().map(|g| g.seconds).sum::<f64>() / g.len() as f64
            );
        }
    }
}
fn show(n: &str, r: &[Named]) {
    let s = Score::of(r);
    print!(
        "{n}: n {} first {:.3} three {:.3} planted {:.3} ll {:.3} said {:.3} settled r {:.3} w {:.3} |",
        s.first.n,
        s.first.value(),
        s.first_three.value(),
        s.planted.value(),
        s.mean_log,
        s.said,
        s.settled_right.value(),
        s.settled_wrong.value()
    );
    for f in &s.reliability {
        if f.right.n > 0 {
            print!(" {:.2}:{:.2}({})", f.said, f.right.value(), f.right.n);
        }
    }
    println!();
}
