//! The Desk's list keeps what it read of visits: nobody must see yesterday's list, and a book of many
//! seasons must not be read whole.

use crate::desk_support::*;
use standbook_fieldbook::record::{Opinion, Planting, Record, Visit};
use standbook_fieldbook::{Book, time};

fn correction(
    of: &standbook_fieldbook::RecordId,
    body: impl Into<standbook_fieldbook::Body>,
) -> Record {
    Record {
        supersedes: Some(*of),
        born_at: time::later(time::now(), &time::now()),
        ..record(body)
    }
}

#[tokio::test]
async fn what_another_program_writes_is_listed_at_once() {
    let sample = Sample::counted(true);
    let first = sample.get("/desk").await;
    first
        .holds("1 determination.")
        .holds("no second opinion")
        .holds("Unknown 3")
        .holds("in 3 tallies");
    let first = first.text();

    // Not by the server's own writer: another program that has the same book open.
    let other = Book::open(sample.app.book.path()).unwrap();
    let opinion = |about, taxon: &str| Record {
        author: "R. Teal".into(),
        ..record(Opinion {
            taxon: Some(taxon.into()),
            ..Opinion::on(about)
        })
    };
    other
        .append(vec![opinion(sample.determination, "setaria_faberi")])
        .unwrap();
    sample.get("/desk").await.holds("disputed, last word by");

    other
        .append(vec![opinion(sample.unknown, "setaria_faberi")])
        .unwrap();
    sample.get("/desk").await.lacks("in 3 tallies");

    // With nothing planted no reading counts as planted; the weight of every plant changes.
    let planting = other.planting(sample.planting).unwrap().unwrap();
    let mut mix = planting.body.mix.clone();
    mix.retain(|item| item.taxon != "andropogon_gerardi");
    let without = Planting {
        mix,
        ..planting.body
    };
    let weight = |page: &str| {
        let rest = page.split("on the wrong side in ").nth(1);
        rest.and_then(|rest| rest.split(" of such").next())
            .map(str::to_owned)
    };
    let before = weight(&first);
    assert!(before.is_some(), "{first}");
    other
        .append(vec![correction(&sample.planting, without)])
        .unwrap();
    assert_ne!(weight(&sample.get("/desk").await.text()), before);

    let plant = sample.determine(
        Some("sorghastrum_nutans"),
        &[("ligule_type", states(&["membrane"]))],
    );
    other.append(vec![record(plant)]).unwrap();
    sample.get("/desk").await.holds("2 determinations.");
}

#[tokio::test]
async fn of_many_seasons_the_latest_visits_are_shown_and_any_other_is_chosen() {
    let sample = Sample::empty();
    let plant = sample.determine(
        Some("andropogon_gerardi"),
        &[("ligule_type", states(&["membrane"]))],
    );
    let visit = sample.app.book.visit(sample.visit).unwrap().unwrap();
    let point = sample.app.book.point(sample.points[0]).unwrap().unwrap();
    let later = sample.keep(Visit {
        on: "2027-07-14".into(),
        ..visit.body
    });
    let at_later = sample.keep(standbook_fieldbook::record::Point {
        visit: later,
        ..point.body
    });
    sample.keep(plant.clone());
    sample
        .get("/desk")
        .await
        .holds("1 determination.")
        .holds("All visits")
        .lacks("the latest");

    let many = (0..1_000).map(|_| {
        let mut plant = plant.clone();
        plant.point = at_later;
        record(plant)
    });
    sample.app.book.append(many.collect()).unwrap();
    sample
        .get("/desk")
        .await
        .holds("1000 determinations, page 1 of 25")
        .holds("They are those of the latest 1 visit; choose a visit above to see an earlier one.")
        .holds("The latest visits");
    sample
        .get(&format!("/desk?visit={}", sample.visit))
        .await
        .holds("1 determination.")
        .lacks("They are those");
}
