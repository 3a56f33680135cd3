//! Couplets on the walk: the couplet to read next, and how the answers led there.

use standbook_identify::couplets::{CoupletStep, walk as walk_couplets};
use standbook_key::couplet::{Lead, LeadReading};

use crate::app::App;
use crate::plant::walk::Walk;
use crate::words::taxon_name;

/// A lead to choose.
#[derive(Debug, Clone)]
pub struct LeadView {
    /// Its words.
    pub text: String,
    /// What its states look like.
    pub looks: Vec<String>,
    /// Field that takes it: `a` for a reading, `lead` for words alone.
    pub field: &'static str,
    /// Value of that field.
    pub value: String,
}

/// The couplets as they stand with the answers given.
#[derive(Debug, Clone)]
pub struct CoupletView {
    /// Couplet to read next.
    pub number: Option<u32>,
    /// How to see what it asks for.
    pub how: String,
    /// Its leads.
    pub leads: Vec<LeadView>,
    /// Trait that can be answered with *can't tell*; none for text-only couplets.
    pub trait_id: Option<String>,
    /// Leads taken: couplet number and words.
    pub path: Vec<(u32, String)>,
    /// Where the couplets ended: common and scientific name.
    pub end: Vec<(String, String)>,
    /// Whether the answers fit no lead or several.
    pub stuck: bool,
}

/// Follows the couplets with the answers of a walk.
pub fn view(app: &App, walk: &Walk) -> CoupletView {
    let followed = walk_couplets(&app.couplets, &app.table, &walk.evidence, &walk.leads);
    let lead_words = |number: u32, lead: usize| -> String {
        app.couplets
            .by_number(number)
            .and_then(|c| c.leads.get(lead))
            .map_or_else(String::new, |l| l.text.clone())
    };
    let mut view = CoupletView {
        number: None,
        how: String::new(),
        leads: Vec::new(),
        trait_id: None,
        path: followed
            .path
            .iter()
            .map(|&(n, l)| (n, lead_words(n, l)))
            .collect(),
        end: Vec::new(),
        stuck: false,
    };
    match followed.at {
        CoupletStep::End(taxa) => {
            view.end = taxa.iter().map(|t| taxon_name(app, t.as_str())).collect();
        }
        CoupletStep::Stuck(number) => {
            view.number = Some(number);
            view.stuck = true;
        }
        CoupletStep::Read(number) => {
            view.number = Some(number);
            let Some(couplet) = app.couplets.by_number(number) else {
                return view;
            };
            view.trait_id = couplet
                .leads
                .iter()
                .find_map(|l| l.when.as_ref())
                .map(|test| test.trait_id.to_string());
            view.how = view
                .trait_id
                .as_deref()
                .and_then(|id| app.key.trait_by_id(id))
                .map_or_else(String::new, |t| t.how.clone());
            view.leads = couplet
                .leads
                .iter()
                .enumerate()
                .map(|(at, lead)| lead_view(app, number, at, lead))
                .collect();
        }
    }
    view
}

fn lead_view(app: &App, number: u32, at: usize, lead: &Lead) -> LeadView {
    let by_words = |looks| LeadView {
        text: lead.text.clone(),
        looks,
        field: "lead",
        value: format!("{number}.{at}"),
    };
    let Some(test) = &lead.when else {
        return by_words(Vec::new());
    };
    let Some(one) = app.key.trait_by_id(test.trait_id.as_str()) else {
        return by_words(Vec::new());
    };
    match &test.reading {
        // A range can't be pressed as a value: the scout says that her measure lies in it.
        LeadReading::Range { .. } => by_words(Vec::new()),
        LeadReading::States(states) => LeadView {
            text: lead.text.clone(),
            looks: states
                .iter()
                .filter_map(|s| one.states().iter().find(|state| state.id == *s))
                .map(|state| state.looks.clone())
                .collect(),
            field: "a",
            value: format!(
                "{}:{}",
                one.id,
                states
                    .iter()
                    .map(|s| s.as_str())
                    .collect::<Vec<_>>()
                    .join("|")
            ),
        },
    }
}
