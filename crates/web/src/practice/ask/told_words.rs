//! What is told of an answer, in sentences: what is true, what decides, and what she may have guessed.
//!
//! In: a question with its plant, the answer that was kept. Out: what the page of the answer shows. Only
//! traits that say something in this very drawing are named as deciding.

use standbook_fieldbook::record::Practice;
use standbook_key::Trait;
use standbook_practice::specimen::{Odd, Specimen};

use super::decides::{Tells, for_one, look_alikes, says};
use super::drawn::{Figure, marked, plain};
use super::name::{Name, SOMETHING_ELSE};
use super::pair::{Pair, Side};
use super::see::{Plant, See, capital};
use super::told::{Told, Was};
use crate::app::App;
use crate::picture;
use crate::practice::asked::Asked as About;
use crate::words::taxon_name;

fn common(app: &App, taxon: &str) -> String {
    taxon_name(app, taxon).0
}

fn state_name<'a>(one: &'a Trait, id: &'a str) -> &'a str {
    let state = one.state_index(id).and_then(|at| one.states().get(at));
    state.map_or(id, |state| state.name.as_str())
}

fn trait_name(app: &App, id: &str) -> String {
    let one = app.key.trait_by_id(id);
    one.map_or_else(|| id.to_owned(), |one| one.name.clone())
}

fn grass_link(app: &App, taxon: &str) -> (String, String) {
    let words = format!("{} in the key", capital(&common(app, taxon)));
    (format!("/key/{taxon}"), words)
}

fn pair_link(app: &App, plant: &Specimen, other: &str) -> (String, String) {
    let stage = plant.stage.id();
    (
        format!("/key/{}/or/{other}?stage={stage}", plant.taxon),
        format!(
            "{} or {}?",
            capital(&common(app, &plant.taxon)),
            common(app, other)
        ),
    )
}

/// Of *See the trait*.
pub(super) fn of_trait(app: &App, see: &See, answer: &Practice) -> Told {
    let reported = answer
        .readings
        .first()
        .and_then(|one| one.reported.as_deref());
    let was = match reported {
        None => Was::Open,
        Some(said) if said == see.truth => Was::Right,
        Some(_) => Was::Wrong,
    };
    let Some(one) = app.key.trait_by_id(&see.trait_id) else {
        return empty(was);
    };
    let looks = |id: &str| {
        let state = one.state_index(id).and_then(|at| one.states().get(at));
        state.map_or_else(String::new, |s| {
            format!("{}: {}", capital(&s.name), s.looks)
        })
    };
    let card = |id: &str, place: &str| {
        let html = picture::of_state(one, id, place)?;
        Some(Figure {
            html,
            caption: looks(id),
        })
    };
    let mut states: Vec<Figure> = card(&see.truth, "a").into_iter().collect();
    if let Some(said) = reported.filter(|_| was == Was::Wrong) {
        states.extend(card(said, "b"));
    }
    let mut told = Told {
        truth: format!("{}: {}.", capital(&one.name), state_name(one, &see.truth)),
        said: match (was, reported) {
            (Was::Wrong, Some(said)) => format!("You said: {}.", state_name(one, said)),
            _ => String::new(),
        },
        decides: format!("Where to look: {}.", one.where_on_plant),
        states,
        ..empty(was)
    };
    match &see.plant {
        Plant::Drawn(specimen, view) => {
            told.figures.extend(marked(app, specimen, *view, one, "m"));
            of_drawn(app, &mut told, specimen, one, &see.truth);
        }
        Plant::Close(specimen) => {
            let html = picture::where_on_plant(one, "m");
            told.figures.extend(html.map(|html| Figure {
                html,
                caption: "Where it is on a plant".to_owned(),
            }));
            of_drawn(app, &mut told, specimen, one, &see.truth);
        }
        Plant::Photo(photo) => {
            told.figures.push(photo.figure());
            told.notes.push(photo.why.clone());
            told.links
                .push((photo.address.clone(), "The plant in this book".to_owned()));
            told.links.push(grass_link(app, &photo.taxon));
        }
    }
    let glossary = format!("/key/glossary#{}", one.id);
    told.links.push((
        glossary,
        format!("{}, every state drawn", capital(&one.name)),
    ));
    told
}

fn of_drawn(app: &App, told: &mut Told, specimen: &Specimen, one: &Trait, truth: &str) {
    told.notes.push(format!(
        "The plant was drawn as {}.",
        common(app, &specimen.taxon)
    ));
    told.says
        .extend(says(app, &specimen.taxon, one, Some(truth)));
    told.links.push(grass_link(app, &specimen.taxon));
}

/// Of *Tell the pair*.
pub(super) fn of_pair(app: &App, pair: &Pair, answer: &Practice) -> Told {
    let wanted = pair.wanted();
    let was = match answer.named.as_deref() {
        None => Was::Open,
        Some(named) if named == wanted.taxon => Was::Right,
        Some(_) => Was::Wrong,
    };
    let by = answer.by.as_deref();
    let mut told = Told {
        truth: format!(
            "{} is on the {}.",
            capital(&common(app, &wanted.taxon)),
            pair.asked.word()
        ),
        said: match was {
            Was::Wrong => {
                let side = match pair.asked {
                    Side::Left => Side::Right,
                    Side::Right => Side::Left,
                };
                format!("You said: the {} one.", side.word())
            }
            _ => String::new(),
        },
        ..empty(was)
    };
    let deciding = &pair.deciding;
    if let Some(one) = app.key.trait_by_id(&deciding.trait_id) {
        told.decides = format!(
            "What decides here is {}: {}.",
            one.name,
            both_show(pair, one)
        );
        for (plant, place) in pair.plants.iter().zip(["l", "r"]) {
            let figure = marked(app, plant, deciding.view, one, place);
            told.figures.extend(figure.map(|figure| Figure {
                caption: format!(
                    "{}. {}",
                    capital(&common(app, &plant.taxon)),
                    figure.caption
                ),
                ..figure
            }));
            let state = plant.shows_of(&deciding.trait_id);
            told.says.extend(says(app, &plant.taxon, one, state));
        }
    }
    told.notes.extend(went_by(app, pair, by, was));
    told.links.push(pair_link(app, wanted, &pair.other().taxon));
    told.links.extend(
        pair.plants
            .iter()
            .map(|plant| grass_link(app, &plant.taxon)),
    );
    told
}

/// `rolled on the left, folded on the right`.
fn both_show(pair: &Pair, one: &Trait) -> String {
    let [left, right] = &pair.plants;
    let [here, there] = [left, right].map(|plant| {
        let state = plant.shows_of(one.id.as_str()).unwrap_or_default();
        state_name(one, state)
    });
    match here == there {
        true => format!("{here} on both"),
        false => format!("{here} on the left, {there} on the right"),
    }
}

/// What is to be said of the trait she went by. A right answer by a trait that tells nothing may have been a
/// guess, and nothing is claimed of it.
fn went_by(app: &App, pair: &Pair, by: Option<&str>, was: Was) -> Option<String> {
    let by = by.filter(|by| *by != pair.deciding.trait_id)?;
    let one = app.key.trait_by_id(by)?;
    let says = pair.says(by).map_or(0.0, |tells| tells.decibans);
    let mut note = match says {
        says if says < -1.0 => format!(
            "You went by {}: {}. On these two plants that misleads; either grass may show it.",
            one.name,
            both_show(pair, one)
        ),
        _ => format!(
            "You went by {}: {}. That hardly parts the two.",
            one.name,
            both_show(pair, one)
        ),
    };
    if was == Was::Right {
        note.push_str(" So the right answer may have been a guess.");
    }
    Some(note)
}

/// Of *Name it*; `about` says what counts as planted.
pub(super) fn of_name(app: &App, name: &Name, answer: &Practice, about: &About) -> Told {
    let truth = name.truth();
    let taxon = app.key.taxon(truth);
    let planted = about.planted.contains(truth);
    let named = answer.named.as_deref();
    let was = match named {
        None => Was::Open,
        Some(SOMETHING_ELSE) if !planted => Was::Right,
        Some(named) if named == truth => Was::Right,
        Some(_) => Was::Wrong,
    };
    let (common_name, scientific) = taxon_name(app, truth);
    let mut told = Told {
        truth: format!("It is {common_name} ({scientific})."),
        said: match named {
            Some(SOMETHING_ELSE) => "You said: something that is not planted.".to_owned(),
            Some(named) if was == Was::Wrong => format!("You said: {}.", common(app, named)),
            _ => String::new(),
        },
        ..empty(was)
    };
    told.links.push(grass_link(app, truth));
    match name {
        Name::Photo(photo) => {
            told.figures.push(photo.figure());
            told.notes.push(photo.why.clone());
            told.links
                .push((photo.address.clone(), "The plant in this book".to_owned()));
        }
        Name::Drawn(specimen) => {
            let alike =
                taxon.map_or_else(Vec::new, |taxon| look_alikes(app, taxon, specimen.stage));
            let other = named
                .filter(|named| was == Was::Wrong && app.key.taxon(named).is_some())
                .map(str::to_owned)
                .or_else(|| alike.into_iter().next());
            if let Some(other) = other {
                against(app, &mut told, specimen, &other);
            }
            odd(app, &mut told, specimen, name);
        }
    }
    told.notes.extend(misread(app, answer));
    told
}

/// What parts a specimen from another name, with the other as it usually is beside it.
fn against(app: &App, told: &mut Told, specimen: &Specimen, other: &str) {
    told.links.push(pair_link(app, specimen, other));
    let usual = app.key.taxon(other).map(|taxon| Specimen {
        taxon: other.to_owned(),
        shows: picture::usual_states(&app.table, taxon),
        odd: None,
        ..specimen.clone()
    });
    let other_name = common(app, other);
    let deciding = for_one(app, specimen, other)
        .into_iter()
        .filter(Tells::decides)
        .find_map(|tells| {
            let one = app.key.trait_by_id(&tells.trait_id)?;
            let usual = usual.as_ref()?;
            // A trait that the other shows alike decides nothing that can be shown.
            let (own, theirs) = (
                specimen.shows_of(&tells.trait_id)?,
                usual.shows_of(&tells.trait_id)?,
            );
            (own != theirs).then_some((one, tells.view, own, theirs, usual))
        });
    let Some((one, view, own, theirs, usual)) = deciding else {
        told.figures.extend(plain(
            specimen,
            standbook_drawing::View::Seedling(specimen.stage),
            "m",
        ));
        told.notes.push(match told.was {
            Was::Right => format!(
                "Nothing that is drawn here parts it from {other_name} for sure, so the right name may have been a guess."
            ),
            _ => format!(
                "Nothing that is drawn here parts it from {other_name} for sure. Leave such a name open, or come back when the plant is older."
            ),
        });
        return;
    };
    told.decides = format!(
        "What decides against {other_name} is {}: {} here, {} usually there.",
        one.name,
        state_name(one, own),
        state_name(one, theirs)
    );
    for (plant, place) in [(specimen, "l"), (usual, "r")] {
        let figure = marked(app, plant, view, one, place);
        told.figures.extend(figure.map(|figure| Figure {
            caption: format!(
                "{}. {}",
                capital(&common(app, &plant.taxon)),
                figure.caption
            ),
            ..figure
        }));
        let state = plant.shows_of(one.id.as_str());
        told.says.extend(says(app, &plant.taxon, one, state));
    }
}

/// What was odd about the plant.
fn odd(app: &App, told: &mut Told, specimen: &Specimen, name: &Name) {
    match &specimen.odd {
        Some(Odd::Missing(_)) => told.notes.push(name.missing_words()),
        Some(Odd::Misleading {
            trait_id,
            usual,
            like,
        }) => {
            let Some(one) = app.key.trait_by_id(trait_id) else {
                return;
            };
            let shown = specimen.shows_of(trait_id).unwrap_or_default();
            let who = match like {
                Some(like) => format!(", as {} usually has it", common(app, like)),
                None => ", as few plants of it have it".to_owned(),
            };
            told.notes.push(format!(
                "One thing misleads on this plant: {}, {}{who}. Most plants of it have: {}. No single look makes a name.",
                one.name,
                state_name(one, shown),
                state_name(one, usual)
            ));
        }
        None => {}
    }
}

/// Readings of a walk that were not so.
fn misread<'a>(app: &'a App, answer: &'a Practice) -> impl Iterator<Item = String> + 'a {
    answer.readings.iter().filter_map(|read| {
        let one = app.key.trait_by_id(&read.trait_id)?;
        let said = read
            .reported
            .as_deref()
            .filter(|said| *said != read.shown)?;
        Some(format!(
            "You read {} as {}; this plant shows {}.",
            trait_name(app, &read.trait_id),
            state_name(one, said),
            state_name(one, &read.shown)
        ))
    })
}

fn empty(was: Was) -> Told {
    Told {
        was,
        truth: String::new(),
        said: String::new(),
        figures: Vec::new(),
        decides: String::new(),
        says: Vec::new(),
        notes: Vec::new(),
        states: Vec::new(),
        links: Vec::new(),
    }
}
