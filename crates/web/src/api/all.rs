//! Every address, in the order of the page in words.

use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};
use standbook_fieldbook::{LISTS, List};

use super::address::{Address, Answers, Holds, Takes, form_of};
use super::records::{Several, Taken};
use super::sent::{JSON, LARGEST_BYTES, Limit};
use super::{book, doubtful, identify, judgement, key, lists, openapi, page, record, records};

/// Parts of the page in words: a title, and what holds for all of it.
pub(super) const PARTS: [(&str, &str); 5] = [
    (HERE, ""),
    (BOOK, ""),
    (
        RECORDS,
        "A page of records of one kind, the version of each that counts now, in the order in which they were first recorded. Go on by asking `after` what the page before says under `next`.",
    ),
    (ONE, ""),
    (WORKED_OUT, ""),
];
const HERE: &str = "These addresses";
const BOOK: &str = "The book and the key";
const RECORDS: &str = "Records";
const ONE: &str = "One record, and new ones";
const WORKED_OUT: &str = "Worked out";

/// All addresses.
pub(super) fn addresses() -> Vec<Address> {
    let mut all = vec![in_words(), document()];
    all.extend(of_the_book());
    all.extend(LISTS.iter().map(of_list));
    all.extend(of_records());
    all.extend(worked_out());
    all
}

fn in_words() -> Address {
    let mut address = Address::read::<()>(
        HERE,
        "/api",
        "This page: every address in words.",
        "A page.",
        get(page::show),
    );
    address.answers = Answers {
        words: "A page.",
        content: "text/html",
        form: None,
    };
    address
}

fn document() -> Address {
    Address::read::<openapi::Document>(
        HERE,
        "/api/openapi.json",
        "The same for programs: an OpenAPI 3.1 document with the form of everything.",
        "An OpenAPI document.",
        get(openapi::show),
    )
}

fn of_the_book() -> [Address; 4] {
    [
        Address::read::<book::BookSaid>(
            BOOK,
            "/api/book",
            "Which book this is: version, how many records of each kind, and as which device you are taken.",
            "The book.",
            get(book::show),
        ),
        Address::read::<key::KeySaid>(
            BOOK,
            "/api/key",
            "Which key is in use: what it is for, its groups, leaf stages and tools.",
            "The key.",
            get(key::show),
        ),
        Address::read::<key::Traits>(
            BOOK,
            "/api/key/traits",
            "Every trait that can be looked at, with its states or its unit.",
            "The traits, in the order in which a scout best looks.",
            get(key::traits),
        ),
        Address::read::<key::Taxa>(
            BOOK,
            "/api/key/taxa",
            "Every taxon of the key, with its names and the part it plays.",
            "The taxa, by id.",
            get(key::taxa),
        ),
    ]
}

/// The address of a list; what is asked by `after` and `limit` is the same for all.
fn of_list(list: &'static List) -> Address {
    let words = format!("Records of kind {}.", list.kind);
    let handler = get(move |app, query| lists::show(app, query, list));
    let mut address = Address::read::<lists::PageSaid>(
        RECORDS,
        format!("/api/{}", list.plural),
        words,
        "A page of records, and after which id to go on.",
        handler,
    );
    if list.kind == "planting" {
        let judgement = "/api/plantings/{planting}/judgement";
        address = address.leading("judgement", judgement, "planting", "/items/0/first");
    }
    if list.kind == "practice" {
        // What one scout answered is no other's to read.
        address = address.of_the_office();
    }
    for under in list.under {
        let words = match under.kinds {
            [] => "Only those of this record.".to_owned(),
            kinds => format!("Only those of this {}.", kinds.join(" or ")),
        };
        address = address.asked(under.name, Holds::Id, words);
    }
    address
        .asked(
            "after",
            Holds::Id,
            "Go on after this one: `next` of the page before.",
        )
        .asked("limit", LIMIT, "How many at most.")
}

const LIMIT: Holds = Holds::Number {
    least: 1,
    most: Limit::MOST,
    usual: Limit::USUAL,
};

fn of_records() -> [Address; 2] {
    let takes = Takes {
        words: "One record, or up to 1,000 in a list; as JSON Lines (application/x-ndjson), one record a line. A record may name those before it.",
        content: vec![(JSON, Some(form_of::<Several>)), (records::LINES, None)],
    };
    let keep = post(records::keep).layer(DefaultBodyLimit::max(LARGEST_BYTES));
    [
        Address::read::<record::RecordSaid>(
            ONE,
            "/api/records/{id}",
            "One record by any of its versions, with everything it was corrected from and to.",
            "The version that counts now, and all versions.",
            get(record::show),
        ),
        Address::sent::<Taken>(
            ONE,
            "/api/records",
            "Keeps records, each by itself. It is answered when they are on disk. The same record sent twice is kept once.",
            takes,
            "All of them are on disk.",
            keep,
        )
        .refusing([
            (409, "The id of a record is taken by one with other content; `records` says what became of each."),
            (503, "Another program holds the book; send it again."),
            (507, "The disk is full; make room and send it again."),
        ]),
    ]
}

fn worked_out() -> [Address; 3] {
    let answers = Takes {
        words: "What was seen on a plant.",
        content: vec![(JSON, Some(form_of::<identify::Plant>))],
    };
    [
        Address::sent::<identify::Named>(
            WORKED_OUT,
            "/api/identify",
            "What a plant is, by what was seen on it: outcome, ranking, for and against, what to look at next. Nothing is kept; `evidence` can be put into a determination as it is.",
            answers,
            "What may be said of the plant.",
            post(identify::identify),
        )
        .refusing([(404, "There is no planting of that id.")]),
        Address::read::<judgement::Judged>(
            WORKED_OUT,
            "/api/plantings/{planting}/judgement",
            "One visit to a planting and what is made of it: the same as the file of the report.",
            "What was recorded, and the judgement.",
            get(judgement::show),
        )
        .asked("visit", Holds::Id, "Another visit than the latest."),
        Address::read::<doubtful::Doubtful>(
            WORKED_OUT,
            "/api/doubtful",
            "The plants whose settling would change a count most, as the Desk lists them.",
            "Plants, those first that matter most.",
            get(doubtful::show),
        )
        .asked("visit", Holds::Id, "Only those of this visit.")
        .asked("limit", LIMIT, "How many at most.")
        .of_the_office(),
    ]
}
