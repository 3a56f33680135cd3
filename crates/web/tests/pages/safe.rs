//! Merging, settling and the state of the book, asked in this process on real books.

use std::sync::Arc;

use crate::desk_support::*;
use axum::http::StatusCode;
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, RecordId};
use standbook_web::App;
use standbook_web::safe::Backups;

/// The same book on another laptop, with something done to it there; its file's bytes.
fn elsewhere(sample: &Sample, done: impl FnOnce(&Book)) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.book");
    let book = Book::create(&path).unwrap();
    let mut lines = Vec::new();
    sample.app.book.export(&mut lines).unwrap();
    book.import(lines.as_slice()).unwrap();
    done(&book);
    drop(book);
    std::fs::read(path).unwrap()
}

fn renamed(sample: &Sample, name: &str, author: &str, second: u8) -> Record {
    let plot = sample.app.book.plot(sample.plot).unwrap().unwrap();
    Record {
        author: author.into(),
        born_at: format!("2026-08-01T10:00:{second:02}.000Z"),
        supersedes: Some(sample.plot),
        ..record(Plot {
            name: name.into(),
            ..plot.body
        })
    }
}

#[tokio::test]
async fn another_book_is_looked_at_then_merged_and_told_of() {
    let sample = Sample::counted(false);
    let site = RecordId::new();
    let other = elsewhere(&sample, |book| {
        let new = Site {
            name: "Heron <Farm>".into(),
            ..book.sites().unwrap()[0].body.clone()
        };
        let new = Record {
            id: site,
            ..record(new)
        };
        book.append(vec![new]).unwrap();
    });
    sample.get("/desk").await.holds("href=\"/desk/merge\"");
    let looked = sample
        .send_photo("/desk/merge", &[("do", "look")], &other)
        .await;
    assert_eq!(looked.status, StatusCode::SEE_OTHER, "{}", looked.text());
    sample
        .get("/desk/merge")
        .await
        .holds("1 record would come")
        .holds("Nothing was written.");
    assert!(sample.app.book.site(site).unwrap().is_none());

    let merged = sample
        .send_photo("/desk/merge", &[("do", "merge")], &other)
        .await;
    assert_eq!(
        (merged.status, merged.location.as_str()),
        (StatusCode::SEE_OTHER, "/desk/merge#report")
    );
    sample
        .get("/desk/merge")
        .await
        .holds("1 record came")
        .holds("site: 1 new");
    assert_eq!(
        sample.app.book.site(site).unwrap().unwrap().body.name,
        "Heron <Farm>"
    );
    sample
        .send_photo("/desk/merge", &[("do", "merge")], &other)
        .await;
    sample.get("/desk/merge").await.holds("Nothing new");
    // What arrived is not kept.
    let left = std::fs::read_dir(sample.folder.path()).unwrap();
    let names: Vec<String> = left
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(
        names.iter().all(|name| name.starts_with("season.book")),
        "{names:?}"
    );
}

#[tokio::test]
async fn what_cannot_be_merged_is_said_by_the_name_the_person_knows() {
    let sample = Sample::counted(false);
    let before = sample.app.book.count().unwrap();
    let said = sample
        .send_photo("/desk/merge", &[("do", "merge")], b"hello")
        .await;
    assert_eq!(said.status, StatusCode::UNPROCESSABLE_ENTITY);
    said.holds("role=\"alert\"")
        .holds("x.png: this is not a book");
    said.lacks(sample.folder.path().to_str().unwrap());
    let said = sample
        .send_photo("/desk/merge", &[("do", "merge")], b"")
        .await;
    said.holds("No file was chosen");
    // A record that somebody changed by hand.
    let changed = elsewhere(&sample, |_| {});
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("changed.book");
    std::fs::write(&path, changed).unwrap();
    let tool = std::fs::read(&path).unwrap();
    let at = tool
        .windows(10)
        .position(|bytes| bytes == b"Quill Farm")
        .unwrap();
    let mut tool = tool;
    tool[at] = b'G';
    let said = sample
        .send_photo("/desk/merge", &[("do", "merge")], &tool)
        .await;
    said.holds("changed by hand")
        .holds("`Quill Farm` here and `Guill Farm` there");
    assert_eq!(sample.app.book.count().unwrap(), before);
}

#[tokio::test]
async fn what_was_corrected_twice_is_settled_by_a_person() {
    let sample = Sample::counted(true);
    let west = renamed(&sample, "West", "B. Reed", 20);
    let other = elsewhere(&sample, |book| {
        book.append(vec![west.clone()]).unwrap();
    });
    let east = renamed(&sample, "East", "A. Fenn", 10);
    sample.app.book.append(vec![east.clone()]).unwrap();
    sample
        .send_photo("/desk/merge", &[("do", "merge")], &other)
        .await;
    sample
        .get("/desk/merge")
        .await
        .holds("Corrected twice: say which is right")
        .holds("/desk/settle");
    let root = sample.plot;
    sample
        .get("/desk")
        .await
        .holds(&format!("href=\"/desk/settle#r{root}\""))
        .holds("To settle after merging");
    let page = sample.get("/desk/settle").await;
    page.holds("plot West")
        .holds("name: East (the other has West)");
    page.holds(&format!("id=\"r{root}\""))
        .lacks("role=\"alert\"");

    let (east, records) = (east.id.to_string(), sample.app.book.count().unwrap());
    let nameless = sample
        .post("/desk/settle", &[("right", &east), ("scout", "")])
        .await;
    assert_eq!(nameless.status, StatusCode::UNPROCESSABLE_ENTITY);
    nameless.holds("Your name is missing");
    let right = [("right", east.as_str()), ("scout", "C. Moor")];
    for _ in 0..2 {
        // A nervous thumb settles it once.
        let said = sample.post("/desk/settle", &right).await;
        assert_eq!(said.status, StatusCode::SEE_OTHER, "{}", said.text());
    }
    assert_eq!(
        sample.app.book.plot(root).unwrap().unwrap().body.name,
        "East"
    );
    assert_eq!(sample.app.book.count().unwrap(), records + 1);
    sample.get("/desk/settle").await.holds("Nothing waits");
    sample.get("/desk").await.lacks("To settle after merging");
    let nobody = [("right", "nobody"), ("scout", "C. Moor")];
    assert_eq!(
        sample.post("/desk/settle", &nobody).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn a_plant_named_apart_leads_to_its_page() {
    let sample = Sample::counted(true);
    let say = |author: &str, second: u8, taxon: &str| Record {
        author: author.into(),
        born_at: format!("2026-08-01T10:00:{second:02}.000Z"),
        ..record(Opinion {
            taxon: Some(taxon.into()),
            reasons: String::new(),
            ..Opinion::on(sample.unknown)
        })
    };
    let first = say("A. Fenn", 1, "panicum_virgatum");
    sample
        .app
        .book
        .append(vec![first, say("B. Reed", 2, "andropogon_gerardi")])
        .unwrap();
    sample
        .get("/desk")
        .await
        .holds("B. Reed says big bluestem, and that counts, being later; A. Fenn said switchgrass")
        .holds(&format!("href=\"/unknowns/{}\"", sample.unknown));
}

#[tokio::test]
async fn the_state_of_the_book_with_a_stick_that_is_not_there_and_then_is() {
    let sample = Sample::counted(false);
    sample
        .get("/desk/book")
        .await
        .holds("This server makes none");
    let stick = sample.folder.path().join("stick");
    let folder = sample.folder.path().join("copy.book");
    let book = Book::create(&folder).unwrap();
    let mut lines = Vec::new();
    sample.app.book.export(&mut lines).unwrap();
    book.import(lines.as_slice()).unwrap();
    let app = App::new(book, key(), false).backing_up(Backups::to(stick.clone()));
    let sample = Sample {
        app: Arc::new(app),
        ..sample
    };
    sample.get("/plot").await.lacks("no new backup");
    sample.post("/desk/book/backup", &[]).await;
    for page in ["/plot", "/desk/book"] {
        sample
            .get(page)
            .await
            .holds("there is no new backup")
            .holds("Plug in the stick");
    }
    sample.get("/desk/book").await.holds("There is none yet.");
    std::fs::create_dir(&stick).unwrap();
    let made = sample.post("/desk/book/backup", &[]).await;
    assert_eq!(
        (made.status, made.location.as_str()),
        (StatusCode::SEE_OTHER, "/desk/book")
    );
    let page = sample.get("/desk/book").await;
    page.holds("just now")
        .lacks("no new backup")
        .lacks("There is none yet.");
}

#[tokio::test]
async fn examining_tells_of_a_result_that_the_same_key_does_not_give() {
    let sample = Sample::counted(false);
    sample.get("/desk/book").await.lacks("Examined");
    let said = sample.post("/desk/book/examine", &[]).await;
    assert_eq!(said.location, "/desk/book#checkup");
    let page = sample.get("/desk/book").await;
    page.holds("Examined")
        .lacks("weighed again by the same key");
    let mut wrong = sample.determine(None, &[("ligule_type", states(&["hairs"]))]);
    // A millionth is far above rounding and far below what anybody would see.
    wrong.evidence.ranking[0].probability -= 1e-6;
    wrong.evidence.ranking[1].probability += 1e-6;
    wrong
        .evidence
        .ranking
        .sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let id = sample.keep(wrong);
    sample.post("/desk/book/examine", &[]).await;
    let page = sample.get("/desk/book").await;
    page.holds("weighed again by the same key")
        .holds(&format!("determination {id}"));
}
