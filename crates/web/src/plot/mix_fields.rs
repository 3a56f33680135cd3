//! The mix in the form of a planting: a tick, the planned and the applied rate of each species.
//!
//! In: the form as typed. Out: rows to show, and the mix as the book keeps it.
//! Units: pounds of pure live seed (PLS) per acre.
//! Not here: the rest of the form (`planting_form`); seeds on the ground (`seeding`).

use standbook_fieldbook::limits;
use standbook_fieldbook::record::MixItem;
use standbook_key::Role;

use crate::app::App;
use crate::plot::filled::Filled;
use crate::words;

/// One species that may be in the mix.
pub(super) struct MixRow {
    /// Taxon id.
    pub id: String,
    /// Common name.
    pub common: String,
    /// Scientific name, may be empty.
    pub scientific: String,
    /// Whether it is ticked.
    pub ticked: bool,
    /// Planned rate as typed.
    pub planned: Rate,
    /// Applied rate as typed.
    pub applied: Rate,
}

/// A rate as typed, pounds PLS per acre.
pub(super) struct Rate {
    /// As typed.
    pub typed: String,
    /// What is wrong with it.
    pub wrong: Option<String>,
}

/// One choice of a list.
pub(super) struct Choice {
    /// As forms spell it.
    pub value: String,
    /// For people.
    pub label: String,
    /// Whether it is chosen.
    pub chosen: bool,
}

/// The two rates: prefix of the field, and the name in messages.
const RATES: [(&str, &str); 2] = [("plan", "planned rate"), ("pls", "applied rate")];

/// Rows for the planted species of the key and everything ticked; and what else may be added.
pub(super) fn mix_rows(app: &App, filled: &Filled) -> (Vec<MixRow>, Vec<Choice>) {
    let mut ids: Vec<String> = app
        .key
        .taxa
        .iter()
        .filter(|taxon| taxon.role == Role::Planted)
        .map(|taxon| taxon.id.as_str().to_owned())
        .collect();
    ids.sort_by_key(|id| words::taxon_name(app, id).0.to_lowercase());
    for id in filled.form.all("mix") {
        if !ids.iter().any(|known| known == id) {
            ids.push(id.to_owned());
        }
    }
    let mut others: Vec<Choice> = app
        .key
        .taxa
        .iter()
        .filter(|taxon| !ids.iter().any(|id| id == taxon.id.as_str()))
        .map(|taxon| Choice {
            value: taxon.id.as_str().to_owned(),
            label: taxon.common_name.clone(),
            chosen: false,
        })
        .collect();
    others.sort_by_key(|other| other.label.to_lowercase());
    let rate = |prefix: &str, id: &str| {
        let field = format!("{prefix}.{id}");
        Rate {
            typed: filled.get(&field).to_owned(),
            wrong: filled.troubles.at(&field).map(str::to_owned),
        }
    };
    let rows = ids
        .into_iter()
        .map(|id| {
            let (common, scientific) = words::taxon_name(app, &id);
            MixRow {
                common,
                scientific,
                ticked: filled.holds("mix", &id),
                planned: rate("plan", &id),
                applied: rate("pls", &id),
                id,
            }
        })
        .collect();
    (rows, others)
}

fn read_rate(filled: &mut Filled, prefix: &str, what: &str, id: &str, common: &str) -> Option<f64> {
    let field = format!("{prefix}.{id}");
    let what = format!("The {what} of {common}");
    let rate = filled.read_number(&field, &what, "pounds PLS per acre")?;
    if !(rate > 0.0 && rate <= limits::PLS_LB_PER_ACRE) {
        filled.troubles.add(
            &field,
            format!(
                "{what}: {rate} is out of range. Use pounds PLS per acre, above 0 and up to {}, or leave it empty.",
                limits::PLS_LB_PER_ACRE
            ),
        );
    }
    Some(rate)
}

/// Reads the mix, in the order of the form. A rate without a tick is asked about, not dropped.
pub(super) fn read_mix(app: &App, filled: &mut Filled) -> Vec<MixItem> {
    let ids: Vec<String> = filled.form.all("mix").map(str::to_owned).collect();
    let mut mix: Vec<MixItem> = Vec::new();
    for id in &ids {
        if mix.iter().any(|item| item.taxon == *id) {
            continue;
        }
        let (common, _) = words::taxon_name(app, id);
        // A planting may name a taxon that a newer key no longer has; it just has to look like an id.
        if !standbook_key::ids::is_id(id) {
            let cut: String = id.chars().take(40).collect();
            filled.troubles.add(
                "mix",
                format!("\u{201c}{cut}\u{201d} is no species of this key. Untick it and choose one from the list."),
            );
            continue;
        }
        let [planned, applied] =
            RATES.map(|(prefix, what)| read_rate(filled, prefix, what, id, &common));
        mix.push(MixItem {
            taxon: id.clone(),
            pls_lb_per_acre: applied,
            planned_pls_lb_per_acre: planned,
        });
    }
    for (prefix, what) in RATES {
        let dotted = format!("{prefix}.");
        let unticked: Vec<String> = filled
            .form
            .0
            .iter()
            .filter(|(_, value)| !value.trim().is_empty())
            .filter_map(|(name, _)| name.strip_prefix(&dotted).map(str::to_owned))
            .filter(|id| !ids.contains(id))
            .collect();
        for id in unticked {
            let (common, _) = words::taxon_name(app, &id);
            filled.troubles.add(
                &format!("{prefix}.{id}"),
                format!(
                    "You typed the {what} of {common} but did not tick it. Tick it, or empty the rate."
                ),
            );
        }
    }
    if mix.is_empty() && filled.troubles.at("mix").is_none() {
        filled.troubles.add(
            "mix",
            "The mix is empty. Tick at least one species that was sown.",
        );
    }
    mix
}
