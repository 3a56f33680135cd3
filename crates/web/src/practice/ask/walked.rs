//! Name it with the book open: a drawn plant is walked through its traits, as a plant in the field is.
//!
//! In: the plant, the walk in the address. Out: the walk's own page (`plant::walk_page`) with the drawing on
//! top and the names below. What the book says of the walk is shown as in the field: the book is open.

use axum::response::{IntoResponse, Redirect, Response};
use standbook_key::{LeafStage, Need, TaxonId};

use super::drawn::Figure;
use super::name::Name;
use super::page::{NamesForm, about, issued, names_form, set_words};
use super::posed::{Spot, Stop};
use crate::app::App;
use crate::form::Form;
use crate::here::Here;
use crate::page::Tab;
use crate::plant::{Around, SaveFields, Walk, walk_around};
use crate::plot::filled::{Filled, respond};

/// What the page of a walk shows when a drawn plant is walked.
pub(crate) struct Practised {
    /// The plant as it is shown.
    pub figures: Vec<Figure>,
    /// What is not to be seen on it, in words; may be empty.
    pub missing: String,
    /// Set and number, in words; may be empty.
    pub set: String,
    /// The page of the answer that was kept from this form.
    pub kept: Option<String>,
    /// The form in which the plant is named.
    pub form: NamesForm,
}

/// The page, or the way to its plain address after a step.
pub(super) fn page(
    app: &App,
    here: &Here,
    spot: &Spot,
    name: &Name,
    fields: &Form,
    mut filled: Filled,
    kept: Option<String>,
) -> Result<Response, Stop> {
    let mut walk = Walk::read(app, fields);
    walk.id = filled.id();
    walk.stage = Some(match name {
        Name::Drawn(specimen) => specimen.stage,
        Name::Photo(_) => LeafStage::Tillering,
    });
    // A drawing is as good as a lens, a lamp and a trowel.
    walk.tools = Need::ALL.iter().map(|(_, need, _)| *need).collect();
    // The first look counts, not the page of the last step.
    let issued = issued(&filled);
    filled.set("issued", issued.clone());
    let mut own = spot.fields(walk.id);
    own.push(("issued", issued));
    if walk.is_step && walk.faults.is_empty() {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(&own);
        query.extend_pairs(walk.fields(app));
        let to = format!("/practice/ask?{}", query.finish());
        return Ok(Redirect::to(&to).into_response());
    }
    filled.default_to("scout", here.scout.clone().unwrap_or_default());
    for fault in &walk.faults {
        if !filled.troubles.list.iter().any(|one| one.message == *fault) {
            filled.troubles.add("", fault.clone());
        }
    }
    let mut form = names_form(app, here, spot, &filled, true)?;
    form.fields.extend(
        walk.fields(app)
            .into_iter()
            .filter(|(name, _)| name == "a" || name == "walk"),
    );
    let planted = about(app, here, spot.set())?.planted;
    let mix: Vec<TaxonId> = planted.iter().map(|id| TaxonId::new(id.as_str())).collect();
    let around = Around {
        mix: &mix,
        at: "/practice/ask".to_owned(),
        point: walk.id,
        place: String::new(),
        unknowns: Vec::new(),
        next_unknown: 1,
        // What her practice says of her eye would be practice on itself.
        own_eye: false,
    };
    let troubles = filled.troubles.clone();
    let words = troubles
        .list
        .iter()
        .map(|one| one.message.clone())
        .collect();
    let mut page = walk_around(app, here, around, &walk, SaveFields::default(), words)?;
    page.shell.tab = Tab::Practice;
    page.shell.title = "Name it".to_owned();
    let own = own
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value));
    page.fields.splice(0..0, own);
    page.practice = Some(Practised {
        figures: name.figures("q"),
        missing: name.missing_words(),
        set: set_words(app, spot, here.scout.as_deref())?,
        kept,
        form,
    });
    Ok(respond(&troubles, &page)?)
}
