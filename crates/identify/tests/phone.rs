//! x
#![allow(clippy::unwrap_used)]
mod common;
#[test]
fn count() {
    let t = common::table();
    let cells: usize = t
        .traits
        .iter()
        .map(|t| t.columns.len() * t.columns[0].len())
        .sum();
    let mut v = serde_json::to_value(t).unwrap();
    for t in v["traits"].as_array_mut().unwrap() {
        t["columns"] = serde_json::Value::Null;
    }
    println!(
        "{} traits {} rows {} cells; without cells {} full {}",
        t.traits.len(),
        t.rows.len(),
        cells,
        v.to_string().len(),
        serde_json::to_string(t).unwrap().len()
    );
    let least = t
        .traits
        .iter()
        .flat_map(|t| t.chances.iter().flatten())
        .copied()
        .fold(1.0, f64::min);
    println!("least {least} traits[0] {}", v["traits"][0]);
    for t in &t.traits {
        if let Some(b) = &t.bins {
            print!("{} ", b.n)
        }
    }
}
