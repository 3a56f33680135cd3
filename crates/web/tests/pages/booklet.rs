//! The booklet to print: whole, standing alone, each drawing once; in the app the same.

use crate::desk_support::markup::{ids_are_sound, values};
use crate::desk_support::{Sample, key, standards};
use axum::http::StatusCode;
use standbook_identify::look_alikes::hard_pairs;
use standbook_identify::{Table, couplets};
use standbook_key::couplet::{Couplet, Couplets, Lead, LeadReading, LeadTest, LeadTo};
use standbook_key::{Key, LeafStage, TraitId};
use standbook_web::booklet::{Contents, Paper, file};

fn booklet_of(key: &Key, authored: bool) -> String {
    let contents = Contents {
        key,
        table: &Table::compile(key),
        couplets: &couplets::grow(key),
        authored,
        standards: &standards(),
        on: "2026-07-14",
    };
    file(&contents, Paper::A5).unwrap()
}

#[test]
fn every_couplet_every_name_and_every_trait_is_there() {
    let key = key();
    let page = booklet_of(&key, false);
    let couplets = couplets::grow(&key);
    assert!(couplets.couplets.len() > 50);
    for couplet in &couplets.couplets {
        let n = couplet.number;
        assert_eq!(page.matches(&format!("<li id=\"c{n}\"")).count(), 1, "{n}");
        let begins = page.split(&format!("<li id=\"c{n}\"")).nth(1).unwrap();
        let own = begins.split("<li id=").next().unwrap();
        let leads = own.matches("class=\"b-lead").count();
        assert_eq!(leads, couplet.leads.len(), "leads of couplet {n}");
    }
    for taxon in &key.taxa {
        let name = format!(
            "<li id=\"n-{}\"><strong>{}</strong> <i>{}</i>",
            taxon.id, taxon.common_name, taxon.scientific_name
        );
        assert_eq!(page.matches(&name).count(), 1, "{name}");
    }
    for one in &key.traits {
        assert_eq!(page.matches(&format!("id=\"t-{}\"", one.id)).count(), 1);
    }
    for caution in &key.cautions {
        assert!(page.contains(caution.as_str()), "{caution}");
    }
    for part in [
        "14 July 2026",
        "52 grasses",
        "utility-location service",
        "not in this key",
        "entry interval",
        "<h2>Words of the trade</h2>",
        "<h2>How to look</h2>",
    ] {
        assert!(page.contains(part), "{part}");
    }
    assert!(page.contains(key.scope.as_str()) && page.contains(key.region.as_str()));
}

/// A drawing is sent once however often it is used, and styled where it is used.
#[test]
fn every_state_is_drawn_as_one_symbol() {
    let key = key();
    let page = booklet_of(&key, false);
    assert!(ids_are_sound(&page) > 300);
    let mut states = 0;
    for one in &key.traits {
        for state in one.states() {
            let drawing = standbook_drawing::state(one.id.as_str(), state.id.as_str()).unwrap();
            let symbol = format!(
                "viewBox=\"0 0 100 100\"><g class=\"drawing\">{}</g></symbol>",
                drawing.body()
            );
            assert_eq!(page.matches(&symbol).count(), 1, "{} {}", one.id, state.id);
            states += 1;
        }
    }
    // As in `pictures.rs`: counted in traits.yaml.
    assert_eq!(states, 89);
    let symbols = page.matches("<symbol ").count();
    assert_eq!(symbols, page.matches("<g class=\"drawing\">").count());
    assert!(page.contains(standbook_drawing::pen::STYLE));
}

#[test]
fn the_file_stands_alone() {
    let page = booklet_of(&key(), false);
    for outside in [
        "http://", "https://", "src=", "<script", "@import", "url(", "<link", "<img", " style=",
        " onclick", "href=\"/",
    ] {
        assert!(!page.contains(outside), "{outside} in the file");
    }
    assert_eq!(page.matches("<style>").count(), 1);
    assert_eq!(page.matches("<h1>").count(), 1);
    // ISO 216: A5 is 148 x 210 mm. ANSI/ASME Y14.1: Letter is 8.5 x 11 in, half of it 5.5 x 8.5.
    // (Both from memory.)
    assert!(page.contains("@page { size: 148mm 210mm; }"));
    assert!(
        Paper::HalfLetter
            .style()
            .contains("@page { size: 5.5in 8.5in; }")
    );
}

#[test]
fn names_with_signs_of_html_are_words() {
    let mut key = key();
    let nasty = "<b>grass & \"weed\"</b>";
    key.title = format!("{nasty} title");
    key.scope = format!("{nasty} scope");
    key.cautions.push(format!("{nasty} caution"));
    key.taxa[0].common_name = format!("{nasty} taxon");
    let one = &mut key.traits[0];
    one.name = format!("{nasty} trait");
    one.question = format!("{nasty} question");
    if let standbook_key::TraitKind::Ordered(states) = &mut one.kind {
        states[0].name = format!("{nasty} state");
        states[0].looks = format!("{nasty} looks");
    }
    let page = booklet_of(&key, false);
    assert!(!page.contains("<b>grass"), "markup of a name got through");
    for what in [
        "title", "scope", "caution", "taxon", "trait", "question", "state", "looks",
    ] {
        let words = format!(" &#38; &#34;weed&#34;&#60;/b&#62; {what}");
        assert!(page.contains(&words), "no {what}");
    }
    assert!(ids_are_sound(&page) > 300);
}

#[test]
fn the_hardest_pairs_stand_side_by_side() {
    let key = key();
    let table = Table::compile(&key);
    let page = booklet_of(&key, false);
    let pages: Vec<&str> = page.split("class=\"b-part b-pair\"").skip(1).collect();
    assert_eq!(pages.len(), 12);
    let hard = hard_pairs(&table, LeafStage::FewLeaves, 0.06);
    for (pair, page) in hard.iter().zip(pages) {
        let name = |row: usize| {
            let taxon = key.taxon(table.rows[row].id.as_str()).unwrap();
            taxon.common_name.clone()
        };
        let title = format!("<h2>{} or {}?</h2>", name(pair.one), name(pair.other));
        assert!(page.contains(&title), "{title}");
        // Three views of each.
        assert_eq!(page.matches("<figure>").count(), 6);
        assert!(page.matches("class=\"b-how\"").count() <= 3);
    }
}

/// Authors' words are printed as they are; grown leads lose the trait's name, which the question
/// above them has said.
#[test]
fn leads_are_printed_in_their_authors_words() {
    let key = key();
    let first = couplets::grow(&key).couplets[0].leads[0].text.clone();
    assert!(first.contains(": "), "{first}");
    let words = format!("<b>{first}</b>");
    assert!(booklet_of(&key, true).contains(&words));
    assert!(!booklet_of(&key, false).contains(&words));
}

#[test]
fn sheets_ask_what_the_book_asks() {
    let key = key();
    let page = booklet_of(&key, false);
    let sheets: Vec<&str> = page.split("class=\"b-part b-sheet").skip(1).collect();
    assert_eq!(sheets.len(), 3);
    for frame in &sheets[..2] {
        for cell in 1..=25 {
            assert_eq!(frame.matches(&format!("<td>{cell}</td>")).count(), 1);
        }
        for part in [
            "Planting",
            "Date",
            "Who walks",
            "Your name",
            "Plot",
            "Point",
            "Frame no.",
            "quadrat",
            "hoop",
            "row",
            "looked, none",
            "gone over again",
            "Unknown",
            "leaf stage",
            "bag no.",
            "Notes",
        ] {
            assert!(frame.contains(part), "{part}");
        }
    }
    let plant = sheets[2];
    let mut from = 0;
    for one in &key.traits {
        // In the order of the key.
        let line = format!("<li><b>{}</b>", one.name);
        let at = plant[from..]
            .find(&line)
            .unwrap_or_else(|| panic!("no line for {}", one.id));
        from += at;
        for state in one.states() {
            assert!(plant[from..].contains(&format!("</span>{}</span>", state.name)));
        }
    }
}

#[tokio::test]
async fn the_app_shows_the_same_pages() {
    let sample = Sample::empty();
    for (address, size) in [
        ("/key/booklet", "148mm 210mm"),
        ("/key/booklet?paper=a5", "148mm 210mm"),
        ("/key/booklet?paper=half-letter", "5.5in 8.5in"),
    ] {
        let page = sample.get(address).await;
        assert_eq!(page.status, StatusCode::OK);
        let text = page.text();
        assert!(ids_are_sound(&text) > 300);
        // The content policy forbids styles within the page.
        assert!(!text.contains("<style") && !text.contains(" style="));
        let sheets: Vec<&str> = values(&text, "href")
            .into_iter()
            .filter(|a| a.starts_with("/assets/") && a.ends_with(".css"))
            .collect();
        assert_eq!(sheets.len(), 2, "{sheets:?}");
        let sheet = sample.get(sheets[1]).await;
        assert_eq!(sheet.status, StatusCode::OK);
        assert_eq!(sheet.content_type, "text/css; charset=utf-8");
        sheet.holds(&format!("@page {{ size: {size}; }}"));
        page.holds("id=\"c62\"").holds("print dialog");
    }
    for from in ["/key", "/key/glossary"] {
        sample.get(from).await.holds("href=\"/key/booklet\"");
    }
}

#[tokio::test]
async fn a_paper_that_there_is_not_is_refused_with_the_choices() {
    let sample = Sample::empty();
    let page = sample.get("/key/booklet?paper=%3Cb%3Efoolscap").await;
    assert_eq!(page.status, StatusCode::BAD_REQUEST);
    page.holds("a5 or half-letter").lacks("<b>foolscap");
}

/// Couplets of somebody's own may ask for a measure, or be in words alone.
#[test]
fn measures_and_words_alone_are_leads_too() {
    let key = key();
    let taxa = |at: usize| LeadTo::Taxa(vec![key.taxa[at].id.clone()]);
    let own = Couplets {
        couplets: vec![Couplet {
            number: 7,
            leads: vec![
                Lead {
                    text: "Blade narrow".into(),
                    when: Some(LeadTest {
                        trait_id: TraitId::new("blade_width"),
                        reading: LeadReading::Range {
                            low: 1.5,
                            high: 4.0,
                        },
                    }),
                    to: taxa(0),
                },
                Lead {
                    text: "Grows in a ditch".into(),
                    when: None,
                    to: taxa(1),
                },
            ],
        }],
    };
    let contents = Contents {
        key: &key,
        table: &Table::compile(&key),
        couplets: &own,
        authored: true,
        standards: &standards(),
        on: "2026-07-14",
    };
    let page = file(&contents, Paper::HalfLetter).unwrap();
    let couplet = page.split("<li id=\"c7\"").nth(1).unwrap();
    let couplet = couplet.split("</ol>").next().unwrap();
    let (narrow, ditch) = couplet.split_once("<b>b.</b>").unwrap();
    assert!(narrow.contains("Blade narrow") && narrow.contains("1.5 to 4 mm"));
    assert!(narrow.contains("<use ") && narrow.contains(&key.taxa[0].common_name));
    assert!(ditch.contains("Grows in a ditch") && ditch.contains(&key.taxa[1].common_name));
    assert!(!ditch.contains("<use "));
}
