//! Two scouts with phones that do not see each other, on one plot.
//!
//! Each keeps what she saves until the laptop is in reach; here the two outboxes arrive one after
//! the other, as they do. Nothing that one sent may hide or change what the other did.

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};
use standbook_fieldbook::RecordId;

use crate::count::support::*;
use crate::desk_support::{Sample, hidden};

const ANA: &str = "Ana Wren";
const BO: &str = "Bo Reed";

/// A frame as a phone keeps it.
fn frame(id: RecordId, number: u32, scout: &str, cells: &[u32]) -> Fields {
    let mut fields = grid(id, &[("scout", scout), ("do", "save")]);
    for (name, value) in &mut fields {
        if name == "number" {
            *value = number.to_string();
        }
    }
    fields.extend(cells.iter().map(|c| ("c".to_owned(), format!("0.{c}"))));
    fields
}

/// Sends frames at the last point from an outbox.
async fn sent(sample: &Sample, frames: &[Fields]) -> Value {
    let items: Vec<Value> = frames
        .iter()
        .map(|fields| {
            let id = &fields.iter().find(|(name, _)| name == "id").unwrap().1;
            let mut text = form_urlencoded::Serializer::new(String::new());
            text.extend_pairs(fields);
            let to = format!("/at/{}/count", sample.points[5]);
            json!({"id": id, "to": to, "fields": text.finish(), "made": "2026-07-14T15:02:07.250Z"})
        })
        .collect();
    let body = json!({"format": "standbook outbox 1", "items": items}).to_string();
    let request = Request::post("/outbox").header("host", "127.0.0.1");
    let answer = sample
        .ask(request.body(HttpBody::from(body)).unwrap())
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    serde_json::from_slice(&answer.bytes).unwrap()
}

/// The form of a page as it stands: what is hidden, typed and marked.
#[track_caller]
fn as_shown(page: &str) -> Fields {
    let mut fields = form_with(page, "class=c1");
    for name in ["scout", "number"] {
        fields.retain(|(one, _)| one != name);
        fields.push((name.to_owned(), hidden(page, name)));
    }
    let boxes = page.split("name=c value=").skip(1);
    let marked = boxes.filter_map(|it| it.split_once('>')?.0.split_once(" class="));
    let marked = marked.filter(|(_, rest)| rest.ends_with(" checked"));
    fields.extend(marked.map(|(mark, _)| ("c".to_owned(), mark.to_owned())));
    fields
}

#[tokio::test]
async fn after_a_sync_each_sees_what_the_other_counted() {
    let sample = Sample::empty();
    let [one, two, three] = [RecordId::new(), RecordId::new(), RecordId::new()];
    sent(
        &sample,
        &[frame(one, 1, ANA, &[1]), frame(two, 2, ANA, &[2])],
    )
    .await;
    let said = sent(&sample, &[frame(three, 3, BO, &[3])]).await;
    assert_eq!(said["kept"].as_array().unwrap().len(), 1, "{said}");
    let point = sample.get(&format!("/at/{}", sample.points[5])).await;
    for id in [one, two, three] {
        point.holds(&format!("/frames/{id}"));
    }
    point.holds(ANA).holds(BO);
    sample
        .get(&format!("/visits/{}", sample.visit))
        .await
        .holds("3 frames");
    open(&sample, &format!("/at/{}/count", sample.points[5]))
        .await
        .holds("name=\"number\" value=\"4\"");
}

#[tokio::test]
async fn one_frame_counted_by_both_becomes_a_second_reading_when_they_say_so() {
    let sample = Sample::empty();
    let (ana, bo) = (RecordId::new(), RecordId::new());
    // Both phones were at frame 3 here.
    for (id, scout, cells) in [(ana, ANA, [1, 2, 3]), (bo, BO, [1, 2, 4])] {
        let said = sent(&sample, &[frame(id, 3, scout, &cells)]).await;
        assert_eq!(said["kept"][0]["id"], id.to_string(), "{said}");
    }
    assert_eq!(entries(&sample).len(), 2, "both as they came");
    // Each one's page asks, and leads to the same: the later one becomes the second reading.
    let correct = format!("/frames/{bo}/correct?repeats={ana}");
    for (id, other) in [(ana, BO), (bo, ANA)] {
        let page = sample.get(&format!("/frames/{id}")).await;
        page.holds(&format!("{other} counted a frame 3 here too"))
            .holds(&format!("href=\"{correct}\">It was the same frame"));
    }
    let page = sample.get(&correct).await;
    page.holds("the second reading of the frame that Ana Wren read first");
    let fields = as_shown(&page.text());
    let to = format!("/at/{}/count", sample.points[5]);
    let saved = press(&sample, &to, fields, &[("do", "save")]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text());

    let kept = entries(&sample);
    assert_eq!(kept.len(), 2);
    let second = kept.iter().find(|entry| entry.body.scout == BO).unwrap();
    assert_eq!((second.body.repeats, second.body.number), (Some(ana), 3));
    let cells: Vec<u32> = second.body.tallies.iter().filter_map(|t| t.cell).collect();
    assert_eq!(cells, [1, 2, 4], "as Bo marked it");
    assert_eq!(sample.app.book.history(bo).unwrap().len(), 2);
    for id in [ana, second.id] {
        sample
            .get(&format!("/frames/{id}"))
            .await
            .lacks("counted a frame 3 here too")
            .holds("2 both");
    }
    // Sent once more by Bo's phone, whose answer was lost: nothing new, nothing changed back.
    let again = sent(&sample, &[frame(bo, 3, BO, &[1, 2, 4])]).await;
    assert_eq!(again["kept"][0]["id"], bo.to_string(), "{again}");
    assert_eq!(entries(&sample), kept);
}

/// Two phones that bear one name: the laptop can't tell two layings from one frame read twice.
#[tokio::test]
async fn phones_of_one_name_are_asked_and_lose_nothing() {
    let sample = Sample::empty();
    let (first, second) = (RecordId::new(), RecordId::new());
    sent(&sample, &[frame(first, 3, ANA, &[1])]).await;
    let waits = frame(second, 3, ANA, &[2, 4]);
    let said = sent(&sample, std::slice::from_ref(&waits)).await;
    let why = said["refused"][0]["why"][0].as_str().unwrap();
    for way in [
        "If this is another laying, it is now frame 4: save again.",
        "correct frame 3 with it",
        "If somebody else read it, type that name",
    ] {
        assert!(why.contains(way), "{why}");
    }
    // Opened from the outbox: the form goes to its page, with all of its marks.
    let to = format!("/at/{}/count", sample.points[5]);
    let page = press(&sample, &to, waits, &[]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Save as frame 4")
        .holds("value=0.2 class=c2 checked")
        .holds(&format!("value=\"repeat.{first}\""));
    let fields = as_shown(&page.text());
    let pressed = format!("repeat.{first}");
    // The name is still that of the first scout.
    let own = press(&sample, &to, fields, &[("do", &pressed)]).await;
    assert_eq!(own.status, StatusCode::UNPROCESSABLE_ENTITY);
    own.holds("Ana Wren read this frame first")
        .holds("value=0.4 class=c4 checked");
    let fields = as_shown(&own.text());
    let saved = press(&sample, &to, fields, &[("do", "save"), ("scout", BO)]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text());
    // The record that waited on the phone, which forgets it now.
    assert_eq!(saved.location, format!("/frames/{second}"));
    let kept = sample.app.book.frame(second).unwrap().unwrap().body;
    assert_eq!((kept.repeats, kept.number), (Some(first), 3));
    assert_eq!((kept.scout.as_str(), kept.tallies.len()), (BO, 2));
    assert_eq!(sample.app.book.history(first).unwrap().len(), 1);
}
