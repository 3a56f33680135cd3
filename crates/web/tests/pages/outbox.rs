//! Forms that waited on a phone: kept once, refused in words, never half taken.

use crate::desk_support::{Answer, Sample};
use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use serde_json::{Value, json};
use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Body, Counted, FrameShape};

/// An hour's walk before anybody looks at these tests.
const MADE: &str = "2026-07-14T15:02:07.250Z";

fn item(id: RecordId, to: &str, fields: &str) -> Value {
    json!({"id": id, "to": to, "fields": fields, "made": MADE})
}

fn outbox(items: &[Value]) -> Value {
    json!({"format": "standbook outbox 1", "items": items})
}

async fn post(sample: &Sample, body: &Value) -> Answer {
    let request = Request::post("/outbox")
        .header("host", "127.0.0.1:8420")
        .header("origin", "http://127.0.0.1:8420")
        .header("content-type", "application/json");
    sample
        .ask(request.body(HttpBody::from(body.to_string())).unwrap())
        .await
}

/// What became of the items: ids by list.
async fn sent(sample: &Sample, items: &[Value]) -> Value {
    let answer = post(sample, &outbox(items)).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    serde_json::from_slice(&answer.bytes).unwrap()
}

fn frame(sample: &Sample, id: RecordId, number: u32, cells: &str) -> Value {
    let marks: String = cells.split(' ').map(|c| format!("&c=0.{c}")).collect();
    let fields = format!(
        "id={id}&device=grid&cells=25&side=15&col=t.andropogon_gerardi{marks}&scout=A.+Fenn&number={number}&do=save"
    );
    item(id, &format!("/at/{}/count", sample.points[0]), &fields)
}

#[tokio::test]
async fn what_waited_on_a_phone_is_kept_once_with_the_phones_clock() {
    let sample = Sample::empty();
    let (one, two) = (RecordId::new(), RecordId::new());
    let unknown = RecordId::new();
    let plant = format!(
        "walk={two}&stage=tillering&a=ligule_type%3Ahairs&a=vernation%3Arolled&taxon=panicum_virgatum&unknown=new&unknown_id={unknown}&unknown_number=4&description=hairy+mouth&scout=A.+Fenn"
    );
    let items = [
        frame(&sample, one, 1, "3 4 9"),
        item(two, &format!("/at/{}/plant", sample.points[1]), &plant),
    ];
    // As after the page's own button: who saved, and where.
    let answer = post(&sample, &outbox(&items[..1])).await;
    assert!(
        answer.cookies.contains("scout=A.+Fenn"),
        "{}",
        answer.cookies
    );
    for time in ["first", "second", "third"] {
        let said = sent(&sample, &items).await;
        assert_eq!(said["kept"].as_array().unwrap().len(), 2, "{time}: {said}");
        assert_eq!(said["kept"][0]["to"], format!("/frames/{one}"), "{time}");
    }
    let kept = sample.app.book.get(one).unwrap().unwrap();
    assert_eq!(kept.born_at, MADE);
    assert!(kept.received_at.unwrap().as_str() > MADE);
    let Body::Frame(body) = kept.body else {
        panic!("no frame")
    };
    let cells: Vec<u32> = body.tallies.iter().filter_map(|t| t.cell).collect();
    assert_eq!(cells, [3, 4, 9]);
    assert!(matches!(body.shape, FrameShape::Grid { cells: 25, .. }));
    assert_eq!(sample.app.book.frames(sample.visit).unwrap().len(), 1);
    let plant = sample.app.book.determination(two).unwrap().unwrap();
    assert_eq!(plant.body.unknown, Some(unknown));
    assert_eq!(plant.body.taxon.as_deref(), Some("panicum_virgatum"));
    // Worked out here, not taken from the phone.
    assert_eq!(plant.body.evidence.answers.len(), 2);
    assert!(plant.body.evidence.ranking.len() > 50);
}

#[tokio::test]
async fn what_a_person_must_mend_comes_back_in_words_and_the_rest_is_kept() {
    let sample = Sample::empty();
    let (good, bad, changed) = (RecordId::new(), RecordId::new(), RecordId::new());
    sent(&sample, &[frame(&sample, changed, 7, "1")]).await;
    let said = sent(
        &sample,
        &[
            frame(&sample, bad, 2, "26"),
            frame(&sample, good, 3, "1 2"),
            frame(&sample, changed, 7, "1 2"),
        ],
    )
    .await;
    assert_eq!(said["kept"].as_array().unwrap().len(), 1);
    assert_eq!(said["kept"][0]["id"], good.to_string());
    let refused = said["refused"].as_array().unwrap();
    assert_eq!(refused.len(), 2, "{said}");
    let why = |at: usize| refused[at]["why"][0].as_str().unwrap().to_owned();
    assert!(
        why(0).contains("cell 26 is not in this frame of 25 cells"),
        "{}",
        why(0)
    );
    assert!(
        why(1).contains("was saved already as frame 7"),
        "{}",
        why(1)
    );
    assert!(sample.app.book.get(bad).unwrap().is_none());
    // The first content stands.
    let Body::Frame(first) = sample.app.book.get(changed).unwrap().unwrap().body else {
        panic!("no frame")
    };
    assert_eq!(first.tallies.len(), 1);
}

/// Forms that come together share a sync where they can; what hangs on another must not suffer.
#[tokio::test]
async fn forms_that_hang_on_one_another_are_kept_in_one_sending() {
    let sample = Sample::empty();
    let [plant, unknown, counted, wrong, right, twin] = [(); 6].map(|()| RecordId::new());
    let first_met = format!(
        "walk={plant}&stage=tillering&a=ligule_type%3Ahairs&unknown=new&unknown_id={unknown}&unknown_number=4&description=hairy+mouth&scout=A.+Fenn"
    );
    let to = format!("/at/{}/count", sample.points[0]);
    let with_unknown = format!(
        "id={counted}&device=grid&cells=25&side=15&col=u.{unknown}&c=0.3&scout=A.+Fenn&number=1&do=save"
    );
    let corrects = frame(&sample, right, 2, "6 7")["fields"]
        .as_str()
        .unwrap()
        .to_owned();
    let items = [
        item(
            plant,
            &format!("/at/{}/plant", sample.points[1]),
            &first_met,
        ),
        item(counted, &to, &with_unknown),
        frame(&sample, wrong, 2, "5"),
        item(right, &to, &format!("{corrects}&supersedes={wrong}")),
        // Another laying under a number that is taken.
        frame(&sample, twin, 2, "9"),
    ];
    for time in ["first", "second"] {
        let said = sent(&sample, &items).await;
        assert_eq!(said["kept"].as_array().unwrap().len(), 4, "{time}: {said}");
        assert_eq!(said["refused"][0]["id"], twin.to_string(), "{said}");
        let why = said["refused"][0]["why"][0].as_str().unwrap();
        assert!(why.contains("it is now frame 3"), "{why}");
    }
    let book = &sample.app.book;
    let tallies = book.frame(counted).unwrap().unwrap().body.tallies;
    assert_eq!(tallies[0].what, Counted::Unknown(unknown));
    let current = book.frame(wrong).unwrap().unwrap();
    assert_eq!((current.id, current.body.tallies.len()), (right, 2));
    let versions = book.history(wrong).unwrap();
    assert!(versions[0].born_at < versions[1].born_at, "{versions:?}");
    assert!(book.get(twin).unwrap().is_none());
}

#[tokio::test]
async fn an_outbox_is_no_second_way_into_the_book() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let count = format!("/at/{}/count", sample.points[0]);
    let fields = frame(&sample, id, 1, "1")["fields"]
        .as_str()
        .unwrap()
        .to_owned();
    let strangers = [
        item(id, "/sites", &format!("id={id}&name=X&scout=A")),
        item(id, &format!("{count}/../../../sites"), &fields),
        item(id, &format!("http://127.0.0.1:8420{count}"), &fields),
        item(id, "", &fields),
        item(id, "/at/no-id/count", &fields),
        item(id, &format!("/at/{}/count", RecordId::new()), &fields),
        // Its answer would be about another record.
        item(RecordId::new(), &count, &fields),
        // A button that saves nothing.
        item(id, &count, &fields.replace("do=save", "do=look")),
        item(id, &count, "id=%FF"),
        json!({"id": "x", "to": count, "fields": fields, "made": MADE}),
        json!({"id": id, "to": count, "fields": fields, "made": "yesterday"}),
    ];
    for stranger in strangers {
        let said = sent(&sample, std::slice::from_ref(&stranger)).await;
        assert_eq!(
            said["refused"].as_array().unwrap().len(),
            1,
            "{stranger}: {said}"
        );
        assert!(!said["refused"][0]["why"][0].as_str().unwrap().is_empty());
    }
    assert!(sample.app.book.frames(sample.visit).unwrap().is_empty());
    assert!(sample.app.book.get(id).unwrap().is_none());
}

#[tokio::test]
async fn what_is_no_outbox_is_said_and_nothing_is_taken() {
    let sample = Sample::empty();
    for (body, word) in [
        (json!([]), "no file of unsent records"),
        (
            json!({"format": "standbook outbox 9", "items": []}),
            "standbook outbox 9",
        ),
        (
            json!({"format": "standbook outbox 1"}),
            "missing field `items`",
        ),
    ] {
        let answer = post(&sample, &body).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST);
        assert!(answer.text().contains(word), "{}", answer.text());
    }
}

#[tokio::test]
async fn a_file_of_unsent_records_is_taken_in_and_its_page_says_what_came_of_it() {
    let sample = Sample::empty();
    let (good, bad) = (RecordId::new(), RecordId::new());
    let items = [frame(&sample, good, 1, "5"), frame(&sample, bad, 2, "99")];
    let upload = |text: String| {
        let body = format!(
            "--b\r\ncontent-disposition: form-data; name=\"file\"; filename=\"unsent.json\"\r\ncontent-type: application/json\r\n\r\n{text}\r\n--b--\r\n"
        );
        Request::post("/outbox/file")
            .header("host", "127.0.0.1:8420")
            .header("content-type", "multipart/form-data; boundary=b")
            .body(HttpBody::from(body))
            .unwrap()
    };
    let page = sample.ask(upload(outbox(&items).to_string())).await;
    assert_eq!(page.status, StatusCode::OK);
    page.holds("1 in the book now, 1 to mend")
        .holds("cell 99 is not in this frame")
        .holds(&bad.to_string());
    assert!(sample.app.book.frame(good).unwrap().is_some());
    let page = sample.ask(upload("<script>".to_owned())).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    page.holds("Choose the file that the phone wrote");
}

#[tokio::test]
async fn a_clock_that_is_wrong_is_said_and_refuses_nothing() {
    let sample = Sample::empty();
    let id = RecordId::new();
    let mut body = outbox(&[frame(&sample, id, 1, "3")]);
    body["sent"] = json!("2001-01-01T00:00:00.000Z");
    let answer: Value = serde_json::from_slice(&post(&sample, &body).await.bytes).unwrap();
    assert_eq!(answer["kept"][0]["id"], id.to_string(), "{answer}");
    let clock = answer["clock"].as_str().unwrap();
    assert!(clock.contains("days behind the laptop's"), "{clock}");
    body["sent"] = json!(standbook_fieldbook::time::now());
    let answer: Value = serde_json::from_slice(&post(&sample, &body).await.bytes).unwrap();
    assert_eq!(answer["clock"], Value::Null, "{answer}");
}

/// A specimen and a flag wait on a phone like everything else of the field. A number that is taken
/// meanwhile is sent back: it hangs on the specimen's paper, and a person has to mend that.
#[tokio::test]
async fn specimens_and_flags_wait_too_and_a_taken_number_is_sent_back() {
    let sample = Sample::counted(false);
    let to = |what: &str| format!("/determinations/{}/{what}", sample.determination);
    let (one, two, flag) = (RecordId::new(), RecordId::new(), RecordId::new());
    let specimen = |id: RecordId| {
        let fields = format!(
            "id={id}&scout=A.+Fenn&collector=A.+Fenn&number=7&collected_on=2026-07-14&preparation=dried&parts=one+tiller"
        );
        item(id, &to("voucher"), &fields)
    };
    let waits = [
        specimen(one),
        item(
            flag,
            &to("come-back"),
            &format!("id={flag}&scout=A.+Fenn&reason=heading&pin=red+peg"),
        ),
        specimen(two),
    ];
    for time in ["first", "second"] {
        let said = sent(&sample, &waits).await;
        let kept: Vec<&str> = said["kept"]
            .as_array()
            .unwrap()
            .iter()
            .map(|k| k["id"].as_str().unwrap())
            .collect();
        assert_eq!(kept, [one.to_string(), flag.to_string()], "{time}: {said}");
        assert_eq!(said["refused"][0]["id"], two.to_string());
        let why = said["refused"][0]["why"][0].as_str().unwrap();
        assert!(why.contains("A. Fenn has a specimen 7 already"), "{why}");
    }
    let kept = sample.app.book.get(one).unwrap().unwrap();
    assert_eq!(kept.born_at, MADE);
    let Some(Body::ComeBack(kept)) = sample.app.book.get(flag).unwrap().map(|it| it.body) else {
        panic!("no flag")
    };
    // By the day of the form, which its id tells, not by that of its arrival.
    assert!(
        kept.due_on.ends_with("-08-15") && kept.pin == "red peg",
        "{kept:?}"
    );
    let astray = item(RecordId::new(), "/visits/x/voucher", "");
    let said = sent(&sample, &[astray]).await;
    assert_eq!(said["kept"].as_array().unwrap().len(), 0, "{said}");
}
