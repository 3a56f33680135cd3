//! `standbook why TAXON TRAIT`: how the book's numbers for one grass and one trait came about.
//!
//! In: a taxon and a trait of the key, by id or by common name. Out: what each source says and
//! how much it counts, what its kin add, how often the trait is misread and as what, and the
//! chances that stand in the table.

use std::fmt::Write as _;
use std::path::Path;

use standbook_identify::profile::Shape;
use standbook_identify::why::{Why, why};
use standbook_identify::{Table, information};
use standbook_key::{Key, PlantAge, Taxon, Trait, fault::suggest};

use crate::embedded;
use crate::text::{self, Sources, head, wrapped};
use crate::trouble::Trouble;

/// Prints one trace.
pub fn print(key: Option<&Path>, taxon: &str, trait_id: &str, json: bool) -> Result<(), Trouble> {
    let key = embedded::key(key)?;
    let taxon = find_taxon(&key, taxon)?;
    let one = find_trait(&key, trait_id)?;
    let table = Table::compile(&key);
    let Some(traced) = why(&key, &table, taxon.id.as_str(), one.id.as_str()) else {
        return Err(Trouble::CommandLine {
            message: format!("`{}` is kept as a remark and never weighed", one.id),
            hint: "ask for a trait with states or a measure".to_owned(),
        });
    };
    if json {
        let text = serde_json::to_string_pretty(&as_json(&key, one, &traced))
            .map_err(|e| Trouble::yours(format!("the answer can't be written: {e}"), ""))?;
        return text::print(&text);
    }
    text::print(plain(&key, taxon, one, &traced).trim_end())
}

fn find_taxon<'a>(key: &'a Key, given: &str) -> Result<&'a Taxon, Trouble> {
    let same = |name: &str| name.eq_ignore_ascii_case(given.trim());
    let found = key
        .taxa
        .iter()
        .find(|t| same(t.id.as_str()) || same(&t.common_name) || same(&t.scientific_name));
    found.ok_or_else(|| Trouble::CommandLine {
        message: format!("`{given}` is not a grass of this key"),
        hint: nearest_grass(key, given),
    })
}

/// The grass whose id or name is nearest to what was given.
fn nearest_grass(key: &Key, given: &str) -> String {
    let names = key
        .taxa
        .iter()
        .flat_map(|t| [t.id.as_str(), t.common_name.as_str()]);
    match standbook_key::fault::nearest(&given.to_lowercase(), names) {
        Some(name) => {
            let of = |t: &&Taxon| t.id == *name || t.common_name == name;
            let id = key.taxa.iter().find(of).map_or(name, |t| t.id.as_str());
            format!("did you mean `{id}`?")
        }
        None => {
            "give an id such as andropogon_gerardi, or a name such as \"big bluestem\"".to_owned()
        }
    }
}

fn find_trait<'a>(key: &'a Key, given: &str) -> Result<&'a Trait, Trouble> {
    let same = |name: &str| name.eq_ignore_ascii_case(given.trim());
    let found = key
        .traits
        .iter()
        .find(|t| same(t.id.as_str()) || same(&t.name));
    found.ok_or_else(|| Trouble::CommandLine {
        message: format!("`{given}` is not a trait of this key"),
        hint: suggest(
            given,
            key.traits.iter().map(|t| t.id.as_str()),
            "give an id such as ligule_type",
        ),
    })
}

/// What the trait shows at each place of the shape: states, or the middles of bins.
fn places(one: &Trait, shape: &Shape) -> Vec<String> {
    match shape {
        Shape::States(_) => one.states().iter().map(|s| s.name.clone()).collect(),
        Shape::Bins(bins) => {
            let unit = one.measure().map_or("", |m| m.unit.as_str());
            (0..bins.n)
                .map(|bin| format!("about {:.2} {unit}", bins.middle_of(bin)))
                .collect()
        }
    }
}

/// Places with a share worth a mention, largest first.
fn shown(places: &[String], shares: &[f64]) -> String {
    let mut sorted: Vec<(usize, f64)> = shares.iter().copied().enumerate().collect();
    sorted.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let worth: Vec<String> = sorted
        .iter()
        .filter(|(_, share)| *share >= 0.005)
        .take(6)
        .map(|(at, share)| format!("{} {}", places[*at], percent(*share)))
        .collect();
    let rest: f64 = sorted.iter().skip(worth.len()).map(|x| x.1).sum();
    match rest >= 0.005 {
        true => format!("{}; others {}", worth.join(", "), percent(rest)),
        false => worth.join(", "),
    }
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn plain(key: &Key, taxon: &Taxon, one: &Trait, traced: &Why) -> String {
    let places = places(one, &traced.shape);
    let mut sources = Sources::default();
    // Writing to a text cannot fail.
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{} ({}): {}",
        taxon.common_name, taxon.id, one.question
    );
    head(&mut out, "What is said");
    if traced.cell.never_applies {
        wrapped(
            &mut out,
            "  ",
            "  ",
            "This grass has nothing to see there, so the answer tells nothing of it: it counts as \
             the whole key does.",
        );
    }
    if traced.cell.statements.is_empty() {
        wrapped(
            &mut out,
            "  ",
            "  ",
            "No source describes it. Unknown is not absent: its kin stand in.",
        );
    }
    for statement in &traced.cell.statements {
        let citation = key
            .sources
            .get(&statement.source)
            .map_or("", |s| &s.citation);
        let age = taxon
            .facts(one.id.as_str())
            .iter()
            .filter(|f| f.source == statement.source)
            .find_map(|f| f.plant);
        let age = match age {
            Some(PlantAge::Seedling) => " (of seedlings)",
            Some(PlantAge::Grown) => " (of grown plants)",
            None => "",
        };
        let line = format!(
            "{}{age}; counts {:.2}{}",
            shown(&places, &statement.shares),
            statement.weight,
            sources.mark(citation)
        );
        wrapped(&mut out, "  - ", "    ", &line);
    }
    wrapped(
        &mut out,
        "  - ",
        "    ",
        &format!(
            "its kin (genus, group, the key): {}; counts {:.2}",
            shown(&places, &traced.cell.kin),
            if traced.cell.statements.is_empty() {
                1.0
            } else {
                traced.cell.kin_weight
            }
        ),
    );
    head(&mut out, "So plants show");
    wrapped(&mut out, "  ", "  ", &shown(&places, &traced.cell.shares));
    head(&mut out, "How it is misread");
    misreading(&mut out, key, one, traced, &places, &mut sources);
    head(
        &mut out,
        "What the table holds: the chance that each is reported",
    );
    for (place, chance) in places.iter().zip(&traced.reported) {
        if *chance >= 0.005 || traced.misread.len() > 1 {
            let _ = writeln!(
                out,
                "  {place:<28} {:>6.2} %  {:>6.1} dB",
                chance * 100.0,
                information::decibans_from_ln(chance.ln())
            );
        }
    }
    let _ = writeln!(
        out,
        "  (dB: decibans, ten times the decimal logarithm of the chance)"
    );
    sources.print(&mut out);
    out
}

fn misreading(
    out: &mut String,
    key: &Key,
    one: &Trait,
    traced: &Why,
    places: &[String],
    sources: &mut Sources,
) {
    let citation = key
        .sources
        .get(&one.misread.source)
        .map_or("", |s| &s.citation);
    let mark = sources.mark(citation);
    if traced.misread.is_empty() {
        let line = format!(
            "{} of looks slip (a wrong line of the ruler, a wrong leaf); a slip reads like the key \
             as a whole{mark}",
            percent(traced.misread_rate)
        );
        wrapped(out, "  ", "  ", &line);
        return;
    }
    for (shown_at, row) in traced.misread.iter().enumerate() {
        let taken: Vec<String> = row
            .iter()
            .enumerate()
            .filter(|(said, share)| *said != shown_at && **share >= 0.005)
            .map(|(said, share)| format!("{} {}", places[said], percent(*share)))
            .collect();
        let line = format!(
            "{} is taken for: {}{mark}",
            places[shown_at],
            taken.join(", ")
        );
        wrapped(out, "  - ", "    ", &line);
    }
}

fn as_json(key: &Key, one: &Trait, traced: &Why) -> serde_json::Value {
    let statements: Vec<_> = traced
        .cell
        .statements
        .iter()
        .map(|s| {
            serde_json::json!({
                "source": s.source,
                "citation": key.sources.get(&s.source).map(|x| &x.citation),
                "weight": s.weight,
                "shares": s.shares,
            })
        })
        .collect();
    serde_json::json!({
        "taxon": traced.taxon,
        "trait": traced.trait_id,
        "places": places(one, &traced.shape),
        "never_applies": traced.cell.never_applies,
        "statements": statements,
        "kin": { "weight": traced.cell.kin_weight, "shares": traced.cell.kin },
        "shares": traced.cell.shares,
        "misread_rate": traced.misread_rate,
        "misread": traced.misread,
        "misread_source": one.misread.source,
        "reported": traced.reported,
    })
}
