//! Every rule of what was sown and what happened since, broken once: sites and plantings, seed
//! lots, events, standards.

use super::rules::{breaks, problems};
use super::*;

#[test]
fn sites_and_plantings_say_more() {
    let s = Sample::new();
    let site = |owner: &str, county: &str, state: &str| Site {
        owner: owner.into(),
        county: county.into(),
        state: state.into(),
        ..a_site()
    };
    let long = "x".repeat(121);
    breaks(&s, record(site(&long, "", "")), &["owner"]);
    breaks(&s, record(site("", "two\nlines", "")), &["county"]);
    breaks(&s, record(site("", "", &long)), &["state"]);
    s.keep(record(site("", "", "")));
    for area in [0.0, -4.0, f64::NAN, 2e9] {
        let planting = Planting {
            stated_area_m2: Some(area),
            ..a_planting(s.site)
        };
        breaks(&s, record(planting), &["stated_area_m2"]);
    }
    let mut planting = a_planting(s.site);
    planting.farm_number = long.clone();
    planting.tract_number = "a\tb".into();
    planting.field_number = long;
    planting.note = "x".repeat(2001);
    planting.mix[0].planned_pls_lb_per_acre = Some(-1.0);
    breaks(
        &s,
        record(planting),
        &[
            "mix[0].planned_pls_lb_per_acre",
            "farm_number",
            "tract_number",
            "field_number",
            "note",
        ],
    );
}

#[test]
fn seed_lots() {
    let s = Sample::new();
    let lot = |change: &dyn Fn(&mut SeedLot)| {
        let mut lot = a_seed_lot(s.planting);
        change(&mut lot);
        record(lot)
    };
    breaks(&s, lot(&|it| it.taxon = "Big bluestem".into()), &["taxon"]);
    breaks(&s, lot(&|it| it.lot = " ".into()), &["lot"]);
    breaks(&s, lot(&|it| it.planting = s.plot), &["planting"]);
    for percent in [-0.1, 100.1, f64::NAN] {
        breaks(
            &s,
            lot(&|it| it.purity_percent = Some(percent)),
            &["purity_percent"],
        );
        breaks(
            &s,
            lot(&|it| it.dormant_percent = Some(percent)),
            &["dormant_percent"],
        );
    }
    // The sample sums to 100.00 by weight and 85 by number.
    breaks(
        &s,
        lot(&|it| it.inert_percent = Some(8.01)),
        &["purity_percent"],
    );
    s.keep(lot(&|it| it.inert_percent = Some(8.0)));
    breaks(
        &s,
        lot(&|it| it.dormant_percent = Some(39.1)),
        &["germination_percent"],
    );
    s.keep(lot(&|it| it.dormant_percent = Some(39.0)));
    // 33.3 + 66.7 is a little off 100 in binary on one side or the other.
    s.keep(lot(&|it| {
        (it.germination_percent, it.dormant_percent) = (Some(66.7), Some(33.300_000_000_000_004));
    }));
    for per_lb in [0.0, -1.0, f64::INFINITY] {
        breaks(
            &s,
            lot(&|it| it.noxious[0].per_lb = per_lb),
            &["noxious[0].per_lb"],
        );
        breaks(
            &s,
            lot(&|it| it.seeds_per_lb = Some(per_lb)),
            &["seeds_per_lb"],
        );
        breaks(&s, lot(&|it| it.bulk_lb = Some(per_lb)), &["bulk_lb"]);
    }
    breaks(
        &s,
        lot(&|it| it.noxious.push(it.noxious[0].clone())),
        &["noxious[1].name"],
    );
    for month in ["2026-13", "2026-2", "February", "2026-02-01", ""] {
        breaks(&s, lot(&|it| it.tested = Some(month.into())), &["tested"]);
    }
    // The sample's records were made on 2026-07-14.
    s.keep(lot(&|it| it.tested = Some("2026-07".into())));
    let found = problems(&s, vec![lot(&|it| it.tested = Some("2026-08".into()))]);
    assert!(
        found[0].field == "tested" && found[0].problem.contains("2026-08"),
        "{found:?}"
    );
    // On the last evening of a month by UTC, the next has begun elsewhere.
    for (born_at, kept) in [
        ("2026-07-31T10:00:00.000Z", true),
        ("2026-07-31T09:59:00.000Z", false),
    ] {
        let record = Record {
            born_at: born_at.into(),
            ..lot(&|it| it.tested = Some("2026-08".into()))
        };
        assert_eq!(s.book.append(vec![record]).is_ok(), kept, "{born_at}");
    }
    // A tag with nothing on it.
    s.keep(lot(&|it| {
        *it = SeedLot {
            variety: String::new(),
            origin: String::new(),
            purity_percent: None,
            germination_percent: None,
            dormant_percent: None,
            other_crop_percent: None,
            inert_percent: None,
            weed_percent: None,
            noxious: vec![],
            tested: None,
            seeds_per_lb: None,
            bulk_lb: None,
            ..a_seed_lot(s.planting)
        };
    }));
}

#[test]
fn events() {
    let s = Sample::new();
    let event = |what| Event {
        what,
        ..an_event(s.planting, "2026-06-20")
    };
    breaks(&s, record(an_event(s.planting, "2026-06-31")), &["on"]);
    breaks(&s, record(an_event(s.visit, "2026-06-30")), &["planting"]);
    for bad in [0.0, -1.0, f64::NAN] {
        let mowed = EventKind::Mowed {
            height_cm: Some(bad),
        };
        breaks(&s, record(event(mowed)), &["what.height_cm"]);
        breaks(
            &s,
            record(event(EventKind::Rain { mm: Some(bad) })),
            &["what.mm"],
        );
    }
    let sprayed = |entry_after_h, graze_after_days| {
        record(event(EventKind::Sprayed {
            entry_after_h,
            graze_after_days,
        }))
    };
    breaks(
        &s,
        sprayed(Some(-1.0), Some(f64::NAN)),
        &["what.entry_after_h", "what.graze_after_days"],
    );
    s.keep(sprayed(Some(0.0), Some(0.0)));
    s.keep(sprayed(None, None));
    breaks(&s, record(event(EventKind::Other)), &["note"]);
    // Before the seeding: the site was prepared.
    let early = s.keep(record(an_event(s.planting, "2026-04-01")));
    let dates: Vec<_> = s.book.events(s.planting).unwrap();
    assert_eq!(dates[0].id, early);
    assert!(dates.is_sorted_by(|a, b| a.body.on <= b.body.on));
    assert_eq!(s.book.event(early).unwrap().unwrap().body.on, "2026-04-01");
}

#[test]
fn standards() {
    let s = Sample::new();
    let standard = |change: &dyn Fn(&mut Standard)| {
        let mut standard = a_standard();
        change(&mut standard);
        record(standard)
    };
    breaks(&s, standard(&|it| it.name = String::new()), &["name"]);
    breaks(&s, standard(&|it| it.source = " ".into()), &["source"]);
    breaks(
        &s,
        standard(&|it| it.purposes = vec![Purpose::Forage, Purpose::Forage]),
        &["purposes[1]"],
    );
    breaks(
        &s,
        standard(&|it| it.taxa = vec!["Big bluestem".into(), "a".into(), "a".into()]),
        &["taxa[0]", "taxa[2]"],
    );
    breaks(&s, standard(&|it| it.season = Some(0)), &["season"]);
    for bad in [0.0, -1.0, f64::NAN, 1.01] {
        breaks(&s, standard(&|it| it.at_least = bad), &["at_least"]);
    }
    let density = |plants| {
        standard(&|it| {
            it.measure = StandardMeasure::Density;
            it.at_least = plants;
        })
    };
    breaks(&s, density(0.0), &["at_least"]);
    let kept = s.keep(density(10.8));
    let withdrawn = s.keep(correction(
        kept,
        1,
        Standard {
            withdrawn: true,
            ..a_standard()
        },
    ));
    let all = s.book.standards().unwrap();
    assert_eq!(all.len(), 1);
    assert!(all[0].id == withdrawn && all[0].body.withdrawn);
    assert_eq!(s.book.standard(kept).unwrap().unwrap().id, withdrawn);
}

#[test]
fn a_photo_can_show_a_seed_tag() {
    let s = Sample::new();
    let lot = s.keep(record(a_seed_lot(s.planting)));
    let picture = s
        .book
        .add_photo(
            b"\xFF\xD8\xFF\xE0",
            lot,
            "tag",
            "A. Fenn",
            "phone",
            RecordId::new(),
        )
        .unwrap();
    assert_eq!(s.book.photos(lot).unwrap()[0].id, picture.id);
    assert_eq!(s.book.seed_lots(s.planting).unwrap()[0].id, lot);
    assert_eq!(s.book.seed_lot(s.planting).unwrap(), None);
    assert_eq!(s.book.outlines(s.planting).unwrap(), []);
    assert_eq!(s.book.outline(lot).unwrap(), None);
}
