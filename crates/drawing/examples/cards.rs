//! All state cards of a key on one page, to be looked at:
//! `cargo run -p standbook-drawing --example cards -- keys/tallgrass-first-year > cards.html`.
//! With a number behind it the cards are shuffled by it and bear no words but their place, for a
//! check with eyes that have not seen them; the answers go to the error output as CSV.

use standbook_drawing::Nature;
use standbook_drawing::pen::STYLE;
use standbook_key::{KeyFiles, load};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().ok_or("which key?")?;
    let blind: Option<u64> = args.next().map(|n| n.parse()).transpose()?;
    let files = KeyFiles::read_folder(std::path::Path::new(&folder))?;
    let key = load(&files).key.ok_or("the key has faults")?;
    let mut cards = Vec::new();
    for one in &key.traits {
        for state in one.states() {
            if let Some(drawing) = standbook_drawing::state(one.id.as_str(), state.id.as_str()) {
                cards.push((one, state, drawing));
            }
        }
    }
    if let Some(seed) = blind {
        let mut nature = Nature::of(seed);
        // Fisher and Yates.
        for at in (1..cards.len()).rev() {
            cards.swap(at, nature.between(0.0, at as f64 + 1.0) as usize);
        }
        eprintln!("card,trait,state");
    }
    println!(
        "<!doctype html><meta charset=utf-8><title>Cards</title><style>{STYLE}\
         body{{background:#fff;color:#111;font:14px sans-serif;display:grid;\
         grid-template-columns:repeat(6,130px)}}figure{{margin:4px}}svg{{width:120px}}</style>"
    );
    for (at, (one, state, drawing)) in cards.iter().enumerate() {
        let words = match blind {
            Some(_) => {
                eprintln!("{},{},{}", at + 1, one.id, state.id);
                (at + 1).to_string()
            }
            None => format!("{}: {}", one.name, state.name),
        };
        let svg = drawing.inline(&format!("c{at}"), &words, &words);
        println!("<figure>{svg}<figcaption>{words}</figcaption></figure>");
    }
    Ok(())
}
