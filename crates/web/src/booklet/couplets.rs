//! The couplets, drawn, and the list of names that they lead to.

use standbook_key::couplet::{Couplet, Lead, LeadReading, LeadTo};
use standbook_key::{Key, Taxon};

use super::Contents;
use super::symbols::Symbols;

/// A grass by name.
pub struct Name {
    pub id: String,
    pub common: String,
    pub scientific: String,
    pub group: String,
}

/// A state of a lead: drawing, name, what it looks like.
pub struct Shown {
    pub drawing: Option<String>,
    pub name: String,
    pub looks: String,
}

/// One answer of a couplet.
pub struct LeadRow {
    pub letter: char,
    pub text: String,
    pub shown: Vec<Shown>,
    /// The couplet that it goes on to.
    pub to: Option<u32>,
    /// The grasses that it ends in: id and common name.
    pub ends: Vec<(String, String)>,
}

/// One couplet.
pub struct CoupletRow {
    pub number: u32,
    /// Couplets that lead here, as `3, 7`.
    pub from: String,
    pub question: String,
    pub leads: Vec<LeadRow>,
}

/// The couplets and the names.
pub struct Part {
    pub authored: bool,
    pub rows: Vec<CoupletRow>,
    pub names: Vec<Name>,
}

pub fn part(contents: &Contents<'_>, symbols: &mut Symbols) -> Part {
    let key = contents.key;
    let back = contents.couplets.back_references();
    let rows = contents
        .couplets
        .couplets
        .iter()
        .map(|couplet| {
            let from = back.get(&couplet.number).map(Vec::as_slice);
            row(contents, couplet, from.unwrap_or_default(), symbols)
        })
        .collect();
    let mut names: Vec<Name> = key.taxa.iter().map(|taxon| name(key, taxon)).collect();
    names.sort_by_key(|name| name.common.to_lowercase());
    Part {
        authored: contents.authored,
        rows,
        names,
    }
}

fn name(key: &Key, taxon: &Taxon) -> Name {
    Name {
        id: taxon.id.to_string(),
        common: taxon.common_name.clone(),
        scientific: taxon.scientific_name.clone(),
        group: key
            .group(taxon.group.as_str())
            .map_or_else(|| taxon.group.to_string(), |g| g.name.clone()),
    }
}

/// The words of a lead. Grown leads begin with the name of the trait, which the question above them
/// has said.
fn text(authored: bool, lead: &Lead, shown: &[Shown]) -> String {
    let unnamed = shown.iter().all(|state| state.name.is_empty());
    if authored || unnamed {
        return lead.text.clone();
    }
    let names: Vec<&str> = shown.iter().map(|state| state.name.as_str()).collect();
    names.join(", or ")
}

fn row(
    contents: &Contents<'_>,
    couplet: &Couplet,
    from: &[u32],
    symbols: &mut Symbols,
) -> CoupletRow {
    let (key, authored) = (contents.key, contents.authored);
    let asked = couplet
        .leads
        .iter()
        .find_map(|lead| key.trait_by_id(lead.when.as_ref()?.trait_id.as_str()));
    let from: Vec<String> = from.iter().map(u32::to_string).collect();
    CoupletRow {
        number: couplet.number,
        from: from.join(", "),
        question: asked.map_or_else(String::new, |one| one.question.clone()),
        leads: ('a'..='z')
            .zip(&couplet.leads)
            .map(|(letter, lead)| (letter, lead, shown(key, lead, symbols)))
            .map(|(letter, lead, shown)| LeadRow {
                letter,
                text: text(authored, lead, &shown),
                shown,
                to: match lead.to {
                    LeadTo::Couplet(to) => Some(to),
                    LeadTo::Taxa(_) => None,
                },
                ends: match &lead.to {
                    LeadTo::Couplet(_) => Vec::new(),
                    LeadTo::Taxa(taxa) => taxa
                        .iter()
                        .map(|id| {
                            let taxon = key.taxon(id.as_str());
                            let name = taxon.map(|t| t.common_name.clone());
                            (id.to_string(), name.unwrap_or_else(|| id.to_string()))
                        })
                        .collect(),
                },
            })
            .collect(),
    }
}

/// What a lead asks for; nothing for one in words alone.
fn shown(key: &Key, lead: &Lead, symbols: &mut Symbols) -> Vec<Shown> {
    let Some(test) = &lead.when else {
        return Vec::new();
    };
    let id = test.trait_id.as_str();
    let Some(one) = key.trait_by_id(id) else {
        return Vec::new();
    };
    match &test.reading {
        LeadReading::Range { low, high } => {
            let unit = one.measure().map_or("", |m| m.unit.as_str());
            vec![Shown {
                drawing: standbook_drawing::measure(id).map(|d| symbols.of(&d)),
                name: String::new(),
                looks: format!("{low} to {high} {unit}"),
            }]
        }
        LeadReading::States(states) => states
            .iter()
            .filter_map(|state| one.states().iter().find(|s| s.id == *state))
            .map(|state| Shown {
                drawing: standbook_drawing::state(id, state.id.as_str()).map(|d| symbols.of(&d)),
                name: state.name.clone(),
                looks: state.looks.clone(),
            })
            .collect(),
    }
}
