//! What a group answered, as the trainer reads it.

use standbook_fieldbook::RecordId;

use super::support::*;
use crate::desk_support::*;

/// Limits of 1 of 3 (0.0615, 0.7923) and of 2 of 2 (0.3424, 1) at 95 %: statsmodels 0.15.0,
/// `proportion_confint(x, n, method="wilson")`.
#[tokio::test]
async fn results_say_where_a_group_errs_and_rank_nobody() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "").await;
    let wrong = other_sown(&truth(&set, 1)).to_owned();
    for (scout, first) in [
        ("Z. Ash", Some(truth(&set, 1))),
        ("A. Fenn", Some(wrong.clone())),
    ] {
        keep(&sample, answer(&set, 1, scout, first.as_deref()));
        keep(&sample, answer(&set, 3, scout, Some(&truth(&set, 3))));
    }
    keep(&sample, answer(&set, 2, "Z. Ash", None));
    // Answered again: kept, and not counted.
    keep(&sample, answer(&set, 1, "A. Fenn", Some(&truth(&set, 1))));
    let page = sample.get(&format!("/desk/practice/sets/{}", set.id)).await;
    let text = page.text();
    page.holds("2 of 3, the last on")
        .holds("3 of 3, the last on")
        .holds("1 answered again, which does not count")
        .holds("In the order of the alphabet")
        .holds("href=\"/desk/practice/scouts/A.%20Fenn\"")
        // Without the book: right, wrong, could not tell.
        .holds("1 of 3: 33 % (6 % to 79 %)")
        .holds("could not tell: 1")
        .holds("2 of 2: 100 % (34 % to 100 %)");
    let hers = text.find("A. Fenn</strong>").unwrap();
    assert!(hers < text.find("Z. Ash</strong>").unwrap());
    let name = |id: &str| sample.app.key.taxon(id).unwrap().common_name.clone();
    let mut pair = [truth(&set, 1), wrong.clone()];
    pair.sort();
    let told = format!("{} and {}", name(&pair[0]), name(&pair[1]));
    page.holds("Taken for each other").holds(&told);
    page.holds(&format!("<td>{}</td>", name(&wrong)));
}

#[tokio::test]
async fn the_table_of_answers_reads_back_and_runs_nowhere() {
    let sample = Sample::empty();
    let set = tested(&sample, "2", "1", "120").await;
    let right = keep(&sample, answer(&set, 1, "=cmd()", Some(&truth(&set, 1))));
    keep(&sample, answer(&set, 2, "A. Fenn", None));
    keep(&sample, answer(&set, 3, "A. Fenn", Some("not_in_key")));
    let again = keep(&sample, answer(&set, 2, "A. Fenn", Some(&truth(&set, 2))));
    let address = format!("/desk/practice/sets/{}/answers.csv", set.id);
    let file = sample.get(&address).await;
    assert_eq!(file.content_type, "text/csv; charset=utf-8");
    assert!(
        file.disposition
            .contains("field-test-north-forty-answers.csv")
    );
    let mut reader = csv::Reader::from_reader(file.bytes.as_slice());
    let head: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 4);
    let cell = |id: &RecordId, name: &str| {
        let at = |name: &str| head.iter().position(|head| head == name).unwrap();
        let row = rows
            .iter()
            .find(|row| row[at("answer_id")] == id.to_string());
        row.unwrap()[at(name)].to_owned()
    };
    assert_eq!(cell(&right, "scout"), "'=cmd()");
    assert_eq!(cell(&right, "truth"), truth(&set, 1));
    assert_eq!(cell(&right, "result"), "right");
    assert_eq!(cell(&right, "planted_or_not"), "right");
    assert_eq!(cell(&right, "item"), "1");
    assert_eq!(cell(&right, "set_id"), set.id.to_string());
    assert_eq!(cell(&right, "seconds"), "12.5");
    assert_eq!(cell(&again, "counts"), "no");
    // Every column is explained on the page.
    let page = sample.get(&format!("/desk/practice/sets/{}", set.id)).await;
    for name in &head {
        page.holds(&format!("<code>{name}</code>"));
    }
}
