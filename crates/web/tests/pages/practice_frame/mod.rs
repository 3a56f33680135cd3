//! Count the frame, and a crew on the same frames (`same`): asked in this process, on a real book with the
//! real key.
mod same;

use std::collections::BTreeMap;

use axum::http::StatusCode;

use crate::desk_support::*;
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::*;
use standbook_key::LeafStage;
use standbook_practice::frame::{CELLS, Frame as Laid, Role};

const PLANTED: [&str; 2] = ["andropogon_gerardi", "panicum_virgatum"];
const OTHERS: [&str; 2] = ["setaria_faberi", "panicum_capillare"];

fn question(seed: u32) -> String {
    format!(
        "frame.{}.{}.few_leaves.{seed}",
        PLANTED.join(","),
        OTHERS.join(",")
    )
}

fn laid(seed: u32) -> Laid {
    Laid::laid(2, 2, LeafStage::FewLeaves, seed)
}

/// A seed whose frame has a cell with both, some with one, and some with nothing.
fn full() -> u32 {
    let mixed = |seed: &u32| {
        let frame = laid(*seed);
        let cells = |planted: bool, other: bool| {
            let fits = |cell: &u32| {
                (
                    frame.holds(*cell, Role::Planted),
                    frame.holds(*cell, Role::Other),
                ) == (planted, other)
            };
            (1..=CELLS).filter(fits).count()
        };
        cells(true, true) >= 1 && cells(true, false) >= 3 && cells(false, true) >= 3
    };
    (1..).find(mixed).unwrap()
}

async fn begin(sample: &Sample, more: &str) -> String {
    let address = format!("/practice/frame?q={}&book=0{more}", question(full()));
    let answer = sample.get(&address).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(answer.location.contains("&id="), "{}", answer.location);
    answer.location
}

/// Marks of cells as a form spells them.
fn marks(planted: &[u32], other: &[u32]) -> Vec<(&'static str, String)> {
    let spelled = |column: u32, cells: &[u32]| -> Vec<(&'static str, String)> {
        cells
            .iter()
            .map(|cell| ("c", format!("{column}.{cell}")))
            .collect()
    };
    [spelled(0, planted), spelled(1, other)].concat()
}

async fn send(sample: &Sample, fields: &[(&'static str, String)]) -> Answer {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    sample.post("/practice/frame", &fields).await
}

fn form(id: &str, wanted: &str, marks: &[(&'static str, String)]) -> Vec<(&'static str, String)> {
    let mut fields = vec![
        ("q", question(full())),
        ("book", "0".to_owned()),
        ("id", id.to_owned()),
        ("scout", "A. Fenn".to_owned()),
        ("do", wanted.to_owned()),
    ];
    fields.extend_from_slice(marks);
    fields
}

/// Every drawing taken out: what is left is words and fields.
fn without_drawings(page: &str) -> String {
    let mut rest = page;
    let mut kept = String::new();
    while let Some((before, after)) = rest.split_once("<svg") {
        kept.push_str(before);
        rest = after.split_once("</svg>").unwrap().1;
    }
    kept + rest
}

#[tokio::test]
async fn a_frame_is_looked_at_twice_and_kept_as_it_was_marked() {
    let sample = Sample::empty();
    let address = begin(&sample, "").await;
    let page = sample.get(&address).await;
    page.holds("big bluestem")
        .holds("switchgrass")
        .holds("name=c value=0.25");
    let id = hidden(&page.text(), "id");
    let first = marks(&[1, 2], &[3]);
    let page = send(&sample, &form(&id, "again", &first)).await;
    page.holds("Second look, from the other side")
        .holds("name=\"f.0\" value=\"1.2\"")
        .holds("name=\"f.1\" value=\"3\"")
        .holds("<input type=checkbox name=c value=0.1 class=\"c1 f\" checked>1<");
    // The frame is turned: cell 25 comes first.
    let text = page.text();
    assert!(text.find("value=0.25 ").unwrap() < text.find("value=0.1 ").unwrap());
    let mut fields = form(&id, "save", &marks(&[1, 2, 25], &[3]));
    fields.push(("second", "1".to_owned()));
    let kept = send(&sample, &fields).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    assert_eq!(kept.location, format!("/practice/answers/{id}"));
    let record = sample
        .app
        .book
        .practice(id.parse().unwrap())
        .unwrap()
        .unwrap()
        .body;
    assert_eq!((record.drill, record.with_book), (Drill::CountFrame, false));
    assert_eq!(
        (record.scout.as_str(), record.question),
        ("A. Fenn", question(full()))
    );
    assert!(record.seconds.unwrap() < 60.0);
    let frame = laid(full());
    let kept: BTreeMap<u32, [bool; 4]> = record
        .cells
        .iter()
        .map(|one| {
            (
                one.cell,
                [one.planted, one.other, one.marked_planted, one.marked_other],
            )
        })
        .collect();
    for cell in 1..=CELLS {
        let is = [
            frame.holds(cell, Role::Planted),
            frame.holds(cell, Role::Other),
            [1, 2, 25].contains(&cell),
            cell == 3,
        ];
        assert_eq!(kept.get(&cell).copied().unwrap_or_default(), is, "{cell}");
    }
}

/// What the page says but for strokes is the same whatever stands in the frame, and whatever it is.
#[tokio::test]
async fn nothing_of_the_truth_is_on_a_page_before_the_answer() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let mut pages = Vec::new();
    for seed in 0..25 {
        let asked = question(seed);
        let page = sample
            .get(&format!("/practice/frame?q={asked}&book=0&id={id}"))
            .await;
        assert!(page.bytes.len() < 50_000, "{} bytes", page.bytes.len());
        let text = page.text().replace(&asked, "");
        for name in OTHERS.iter().chain(&["giant foxtail", "Setaria"]) {
            assert!(!text.contains(name), "{name}");
        }
        for word in ["panicum", "gerardi"] {
            assert!(!text.contains(word), "{word}");
        }
        pages.push(without_drawings(&text));
    }
    assert!(pages.windows(2).all(|two| two[0] == two[1]));
    // A cell from nearer: as many parts as plants, and not a word of what they are.
    let frame = laid(full());
    let of = |role: Role| {
        (1..=CELLS)
            .find(|cell| frame.holds(*cell, role) && frame.in_cell(*cell).count() == 1)
            .unwrap()
    };
    let mut near = Vec::new();
    for cell in [of(Role::Planted), of(Role::Other)] {
        let page = send(
            &sample,
            &form(&id.to_string(), &format!("cell.{cell}"), &[]),
        )
        .await;
        page.holds(&format!("Cell {cell}, closer"))
            .holds("Take up the plant");
        let text = page.text().replace(&question(full()), "");
        assert!(
            !text.contains("foxtail") && !text.contains("setaria"),
            "{cell}"
        );
        let numbers = |text: &str| {
            text.chars()
                .filter(|c| !c.is_ascii_digit())
                .collect::<String>()
        };
        near.push(numbers(&without_drawings(&text)));
    }
    // Plants of one leaf have fewer drawings than older ones.
    let figures = |text: &str| {
        text.replace(
            "<figure><figcaption>base, and the shoot cut across</figcaption></figure>",
            "",
        )
        .replace(
            "<figure><figcaption>collar, blade pulled back</figcaption></figure>",
            "",
        )
    };
    assert_eq!(figures(&near[0]), figures(&near[1]));
}

#[tokio::test]
async fn marks_travel_to_a_cell_and_back() {
    let sample = Sample::empty();
    let id = RecordId::new().to_string();
    let page = send(&sample, &form(&id, "cell.7", &marks(&[2, 7], &[9]))).await;
    let text = page.text();
    assert_eq!(hidden(&text, "m.0"), "2");
    assert_eq!(hidden(&text, "m.1"), "9");
    page.holds("name=\"c\" value=\"0.7\" checked")
        .lacks("value=\"1.7\" checked");
    // Back: what is hidden, and what was ticked in the cell.
    let back = [
        ("c", "1.7".to_owned()),
        ("m.0", "2".to_owned()),
        ("m.1", "9".to_owned()),
    ];
    let page = send(&sample, &form(&id, "stay", &back)).await;
    page.holds("value=0.2 class=\"c2\" checked")
        .holds("value=1.7 class=\"c7\" checked")
        .holds("value=1.9 class=\"c9\" checked")
        .lacks("value=0.7 class=\"c7\" checked");
}

#[tokio::test]
async fn feedback_opens_each_wrong_cell_and_says_what_decides() {
    let sample = Sample::empty();
    let frame = laid(full());
    let only = |role: Role, other: Role| -> Vec<u32> {
        (1..=CELLS)
            .filter(|c| frame.holds(*c, role) && !frame.holds(*c, other))
            .collect()
    };
    let (planted, other) = (
        only(Role::Planted, Role::Other),
        only(Role::Other, Role::Planted),
    );
    let both: Vec<u32> = (1..=CELLS)
        .filter(|cell| Role::BOTH.iter().all(|role| frame.holds(*cell, *role)))
        .collect();
    let bare = (1..=CELLS)
        .find(|cell| frame.in_cell(*cell).next().is_none())
        .unwrap();
    // The first planted is overlooked, the second misnamed, one of something else is called planted, and a
    // bare cell is marked; all the rest is right.
    let mut as_planted = [&planted[2..], &both[..], &[other[0], bare]].concat();
    let mut as_other = [&other[1..], &both[..], &planted[1..2]].concat();
    as_planted.sort_unstable();
    as_other.sort_unstable();
    let id = RecordId::new().to_string();
    let kept = send(&sample, &form(&id, "save", &marks(&as_planted, &as_other))).await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
    let page = sample.get(&format!("/practice/frame/answers/{id}")).await;
    let all = planted.len() + both.len();
    page.holds(&format!(
        "Planted grass stood in {all} cells: {} seen, 1 overlooked, 1 marked as something else.",
        all - 2
    ));
    let all_other = other.len() + both.len();
    page.holds(&format!(
        "Something else stood in {all_other} cells: {} seen, 0 overlooked, 1 marked as planted.",
        all_other - 1
    ));
    page.holds("Marked where nothing explains it: 1 cell.");
    let text = page.text();
    for (cell, word, said) in [
        (planted[0], "missed", "stands here and was not marked."),
        (
            planted[1],
            "misnamed",
            "stands here, which is planted; you marked something else.",
        ),
        (
            other[0],
            "misnamed",
            "stands here, which is something else; you marked planted.",
        ),
        (bare, "not there", "Not there: you marked planted"),
    ] {
        let sign = text
            .split_once(&format!("<a href=\"#cell-{cell}\">"))
            .unwrap()
            .1;
        assert!(
            sign.split_once("</a>").unwrap().0.contains(word),
            "{cell} {word}"
        );
        let opened = text.split_once(&format!("id=\"cell-{cell}\">")).unwrap().1;
        let opened = opened.split_once("</section>").unwrap().0;
        assert!(opened.contains(said), "{cell}: {opened}");
        assert_eq!(opened.contains("What decides: "), cell != bare, "{cell}");
    }
    assert_eq!(text.matches("class=\"opened\"").count(), 4);
    page.holds("overlooked 18.6 % and misnamed 1.4 %")
        .holds("href=\"/practice/next\"")
        .lacks("style=");
}

#[tokio::test]
async fn a_form_sent_again_is_one_answer_and_the_first_counts() {
    let sample = Sample::empty();
    let id = RecordId::new().to_string();
    for (planted, other) in [([1, 2], 3), ([1, 2], 3), ([4, 5], 6)] {
        let kept = send(&sample, &form(&id, "save", &marks(&planted, &[other]))).await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER);
        assert_eq!(kept.location, format!("/practice/answers/{id}"));
    }
    let answers = sample.app.book.practice_of("A. Fenn").unwrap();
    assert_eq!(answers.len(), 1);
    let marked = answers[0]
        .body
        .cells
        .iter()
        .filter(|one| one.marked_planted);
    assert_eq!(marked.map(|one| one.cell).collect::<Vec<_>>(), [1, 2]);
    // The page whose record is there leads to what was answered.
    let again = sample
        .get(&format!("/practice/frame?q={}&id={id}", question(full())))
        .await;
    assert_eq!(again.location, format!("/practice/answers/{id}"));
}

#[tokio::test]
async fn what_cannot_be_taken_is_said_and_nothing_is_kept() {
    let sample = Sample::empty();
    for (asked, said) in [
        ("frame", "is no question"),
        ("frame.x.y.few_leaves.z", "is no question"),
        ("frame.no_such_grass..few_leaves.1", "no_such_grass"),
        ("name.panicum_virgatum.few_leaves.1", "not about a frame"),
        ("", "is no question"),
    ] {
        let page = sample.get(&format!("/practice/frame?q={asked}")).await;
        assert_eq!(page.status, StatusCode::BAD_REQUEST, "{asked}");
        page.holds(said);
    }
    let id = RecordId::new().to_string();
    let refused = |wanted: &str, marks: &[(&'static str, String)]| form(&id, wanted, marks);
    let page = send(&sample, &refused("save", &[])).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Nothing is marked.");
    let page = send(&sample, &refused("none", &marks(&[1], &[]))).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Take the marks off")
        .holds("value=0.1 class=\"c1\" checked");
    let nameless = refused("save", &marks(&[1], &[]))
        .into_iter()
        .filter(|(name, _)| *name != "scout");
    let page = send(&sample, &nameless.collect::<Vec<_>>()).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Your name is missing")
        .holds("value=0.1 class=\"c1\" checked");
    assert_eq!(
        send(&sample, &refused("cell.26", &[])).await.status,
        StatusCode::NOT_FOUND
    );
    let mut of_no_set = refused("save", &marks(&[1], &[]));
    of_no_set.push(("set", RecordId::new().to_string()));
    assert_eq!(
        send(&sample, &of_no_set).await.status,
        StatusCode::BAD_REQUEST
    );
    assert!(sample.app.book.practice_scouts().unwrap().is_empty());
    assert_eq!(
        sample
            .get(&format!("/practice/frame/answers/{id}"))
            .await
            .status,
        StatusCode::NOT_FOUND
    );
}
