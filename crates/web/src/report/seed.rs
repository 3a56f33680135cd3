//! What was sown: rates, seed tags, pure live seed both ways, and how much of it stands.
//!
//! In: planting, seed lots, a judgement. Out: sections.
//! Units: pounds of pure live seed per acre with kg per ha beside; percent as on tags.
//! Source: `standbook_stand::seeding`; whether dormant seed counts as live differs, so both are shown.
//! Not here: the form of a programme (`packet`), which takes these tables.

use standbook_fieldbook::record::{MixItem, SeedLot};
use standbook_judge::{Emerged, Judgement};
use standbook_stand::seeding::{DORMANT_COUNTS, DORMANT_LEFT_OUT, KG_PER_LB, PLS, Tag};

use super::cite::Sources;
use super::figures::rate;
use super::gather::Gathered;
use super::results::evidence_words;
use super::section::{Cell, Section};
use super::span::Span;
use super::tables::dense;
use crate::app::App;
use crate::words::{M2_PER_FT2, digits, plain, taxon_name};

/// Pure live seed of a lot, percent: without and with dormant seed. A tag that lacks purity or
/// germination, or says what cannot be, gives neither.
pub(crate) fn pls_percent(lot: &SeedLot) -> (Option<f64>, Option<f64>) {
    let (Some(purity), Some(germination)) = (lot.purity_percent, lot.germination_percent) else {
        return (None, None);
    };
    match Tag::new(purity, germination, lot.dormant_percent) {
        Ok(tag) => {
            let pls = tag.pls();
            let percent = |share: f64| share * 100.0;
            (
                Some(percent(pls.germinated_only)),
                pls.with_dormant.map(percent),
            )
        }
        Err(_) => (None, None),
    }
}

fn percent(value: Option<f64>) -> Cell {
    let round = |v: f64| plain((v * 100.0).round() / 100.0);
    value.map_or_else(Cell::default, |v| format!("{} %", round(v)).into())
}

fn of_rate(value: Option<f64>) -> Cell {
    value.map_or_else(Cell::default, |v| rate(v).into())
}

/// Pure live seeds sown per m2 by the judgement's figures, lowest and highest.
fn seeds_per_m2(judgement: &Judgement, item: &MixItem, alone: bool) -> Option<(f64, f64)> {
    let known = judgement.emergence.iter().find(|one| match &one.taxon {
        Some(taxon) => *taxon == item.taxon,
        // With one species the sum is that species.
        None => alone,
    })?;
    Some(known.seeds_per_m2)
}

/// Species and rates.
pub(crate) fn rates(app: &App, gathered: &Gathered) -> Section {
    let mix = &gathered.place.planting.body.mix;
    let mut section = Section::new("What was sown");
    section
        .says
        .push(crate::words::sowing_words(&gathered.place.planting));
    section.table.head = vec![
        ("Species", false),
        ("Planned, live seed", true),
        ("Applied, live seed", true),
        ("Live seeds per ft²", true),
    ];
    for item in mix {
        let (common, scientific) = taxon_name(app, &item.taxon);
        let seeds = seeds_per_m2(&gathered.judgement, item, mix.len() == 1);
        section.table.rows.push(vec![
            Cell::with(common, scientific),
            of_rate(item.planned_pls_lb_per_acre),
            of_rate(item.pls_lb_per_acre),
            seeds.map_or_else(Cell::default, |(low, high)| {
                let ft2 = |m2: f64| digits(m2 * M2_PER_FT2);
                let (low, high) = (ft2(low), ft2(high));
                match low == high {
                    true => low.into(),
                    false => format!("{low} to {high}").into(),
                }
            }),
        ]);
    }
    section.small = "Live seed: pure live seed (PLS), pounds per acre and kilograms per hectare. Seeds per area by the tag's own count, or else by published counts, which differ.".to_owned();
    section
}

/// Seed tags, with pure live seed both ways.
pub(crate) fn lots(app: &App, lots: &[SeedLot], sources: &mut Sources) -> Section {
    let mut section = Section::new("Seed tags");
    section.table.head = vec![
        ("Species, variety, origin", false),
        ("Lot", false),
        ("Purity", true),
        ("Germination", true),
        ("Dormant", true),
        ("Live seed", true),
        ("Tested", false),
        ("Noxious per lb", false),
        ("Bought", true),
    ];
    for lot in lots {
        let (common, _) = taxon_name(app, &lot.taxon);
        let named: Vec<&str> = [lot.variety.as_str(), lot.origin.as_str()]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect();
        let (without, with) = pls_percent(lot);
        let noxious: Vec<String> = lot
            .noxious
            .iter()
            .map(|kind| format!("{} {}", kind.name, plain(kind.per_lb)))
            .collect();
        let live = percent(without).text;
        let with = percent(with).text;
        section.table.rows.push(vec![
            Cell::with(common, named.join(", ")),
            lot.lot.clone().into(),
            percent(lot.purity_percent),
            percent(lot.germination_percent),
            percent(lot.dormant_percent),
            match with.is_empty() {
                true => live.into(),
                false => Cell::with(live, format!("{with} with dormant seed")),
            },
            lot.tested.clone().unwrap_or_default().into(),
            noxious.join("; ").into(),
            lot.bulk_lb.map_or_else(Cell::default, |lb| {
                Cell::with(
                    format!("{} lb", plain(lb)),
                    format!("{} kg", digits(lb * KG_PER_LB)),
                )
            }),
        ]);
    }
    if !section.table.rows.is_empty() {
        section.small = format!(
            "Live seed = purity x germination {}. Some count dormant seed as live {}, some do not {}: both are shown, and the programme says which one counts.",
            sources.cite_method(PLS),
            sources.cite_method(DORMANT_COUNTS),
            sources.cite_method(DORMANT_LEFT_OUT)
        );
    }
    section
}

/// How much of the seed stands as plants.
pub(crate) fn emergence(app: &App, judgement: &Judgement) -> Section {
    let mut section = Section::new("How much of the seed stands as plants");
    section.table.head = vec![
        ("Species", false),
        ("Of 100 live seeds sown", true),
        ("Plants per ft²", true),
        ("By", false),
    ];
    // Ways of counting one taxon stand together: the smallest and the largest of them.
    let mut taxa: Vec<Vec<&Emerged>> = Vec::new();
    for one in &judgement.emergence {
        match taxa.iter_mut().find(|of| of[0].taxon == one.taxon) {
            Some(of) => of.push(one),
            None => taxa.push(vec![one]),
        }
    }
    for of in taxa {
        let name = match &of[0].taxon {
            Some(taxon) => taxon_name(app, taxon).0,
            None => "everything planted".to_owned(),
        };
        let hull = |part: fn(&Emerged) -> Span, factor: f64| {
            of.iter()
                .map(|one| part(one).times(factor))
                .reduce(Span::hull)
                .map_or_else(Cell::default, |span| dense(&span))
        };
        let own = of.iter().all(|one| one.own_counts);
        section.table.rows.push(vec![
            name.into(),
            hull(|one| Span::of(&one.share), 100.0),
            hull(|one| Span::of(&one.plants_per_m2), M2_PER_FT2),
            Cell::with(
                match of.as_slice() {
                    [only] => evidence_words(only.evidence),
                    more => format!("{} ways, smallest to largest", more.len()),
                },
                match own {
                    true => "",
                    false => "seeds per pound from published lists",
                },
            ),
        ]);
    }
    if !section.table.rows.is_empty() {
        section.says.push(
            "Far fewer seeds than were sown ever become plants; a small share is usual.".to_owned(),
        );
    }
    section
}

#[cfg(test)]
mod tests {
    use super::*;
    use standbook_fieldbook::RecordId;

    /// Purity 95 %, germination 60 %, dormant 25 %: 57 % without, 80.75 % with dormant seed
    /// (95 x 60 / 100 and 95 x 85 / 100, by hand).
    #[test]
    fn pure_live_seed_both_ways() {
        let mut lot = SeedLot {
            planting: RecordId::new(),
            taxon: "andropogon_gerardi".into(),
            lot: "K-7".into(),
            variety: String::new(),
            origin: String::new(),
            purity_percent: Some(95.0),
            germination_percent: Some(60.0),
            dormant_percent: Some(25.0),
            other_crop_percent: None,
            inert_percent: None,
            weed_percent: None,
            noxious: Vec::new(),
            tested: None,
            seeds_per_lb: None,
            bulk_lb: None,
            note: String::new(),
        };
        let near =
            |found: Option<f64>, wanted: f64| found.is_some_and(|f| (f - wanted).abs() < 1e-9);
        let (without, with) = pls_percent(&lot);
        assert!(
            near(without, 57.0) && near(with, 80.75),
            "{without:?} {with:?}"
        );
        lot.dormant_percent = None;
        let (without, with) = pls_percent(&lot);
        assert!(near(without, 57.0) && with.is_none());
        lot.purity_percent = None;
        assert_eq!(pls_percent(&lot), (None, None));
    }
}
