//! Plants with what was seen of each, from CSV.

use standbook_import::bring::What;

use crate::support::*;

#[test]
fn answers_are_read_by_id_and_by_the_keys_words_and_weighed_anew() {
    let sample = Sample::with_points(1);
    let ligule = sample.key.trait_by_id("ligule_type").unwrap();
    let state = &ligule.states()[0];
    let text = format!(
        "Point,Leaf stage,taxon,cell,{},outcome,note\n1,tillering,Switchgrass,7,{},settled,\"two, alike\"\n1,tillering,,,{},,\n",
        ligule.name,
        state.id.as_str(),
        state.name.to_uppercase(),
    );
    let looked = sample.brought(What::Determinations, &text);
    assert_eq!(looked.new, 2);
    assert_eq!(
        looked.items[0].becomes,
        "North strip, point 1, cell 7: switchgrass, by A. Fenn, from 1 look"
    );
    assert!(
        looked
            .notes
            .iter()
            .any(|note| note.contains("outcome is not used")),
        "{:?}",
        looked.notes
    );
    let kept = sample.book.determinations(sample.visit).unwrap();
    // The same look, by id and by word, weighs the same.
    assert_eq!(kept[0].body.evidence.ranking, kept[1].body.evidence.ranking);
    assert!(
        kept.iter()
            .any(|one| one.body.taxon.as_deref() == Some("panicum_virgatum")
                && one.body.note == "two, alike")
    );
    assert_eq!(sample.looked(What::Determinations, &text).new, 0);
}

#[test]
fn two_plants_alike_are_two() {
    let sample = Sample::with_points(1);
    let state = sample.key.trait_by_id("ligule_type").unwrap().states()[0]
        .id
        .clone();
    let line = format!("1,tillering,{}\n", state.as_str());
    let text = format!("point,leaf_stage,ligule_type\n{line}{line}");
    assert_eq!(sample.brought(What::Determinations, &text).new, 2);
    assert_eq!(sample.looked(What::Determinations, &text).new, 0);
    let third = sample.looked(What::Determinations, &format!("{text}{line}"));
    assert_eq!((third.new, third.already), (1, 2));
}

#[test]
fn a_misspelt_trait_or_state_is_never_left_out_silently() {
    let sample = Sample::with_points(1);
    let faults = sample.faults(
        What::Determinations,
        "point,leaf_stage,ligule_typ\n1,tillering,hairs\n",
    );
    assert!(
        faults[0].contains("line 1, column 3 (ligule_typ)")
            && faults[0].contains("did you mean `ligule_type`?"),
        "{faults:?}"
    );
    let text =
        |line: &str| format!("point,leaf_stage,taxon,date,visit,ligule_type,weather\n{line}\n");
    for (line, parts) in [
        (
            "1,tillering,,,,hair,sun",
            &["column 6 (ligule_type)", "not a state of `ligule_type`"][..],
        ),
        ("1,young,,,,hairs,", &["column 2 (leaf_stage)", "one_leaf"]),
        ("1,,,,,hairs,", &["column 2 (leaf_stage)"]),
        (
            "1,tillering,swichgrass,,,hairs,",
            &["did you mean `switchgrass`?"],
        ),
        ("1,tillering,,2026-07-15,,hairs,", &["another day"]),
        (
            "1,tillering,,,2025-07-14,hairs,",
            &["not the visit of 2026-07-14"],
        ),
        ("9,tillering,,,,hairs,", &["no point `9`"]),
        ("1,tillering,,,,,", &["no trait is answered"]),
    ] {
        one_fault(&sample.faults(What::Determinations, &text(line)), parts);
    }
    let fine = sample.looked(
        What::Determinations,
        &text("1,tillering,,2026-07-14,2026-07-14,can't tell,sun"),
    );
    assert!(fine.faults.is_empty(), "{:?}", fine.faults);
    assert!(
        fine.notes.iter().any(|note| note == "Not used: weather."),
        "{:?}",
        fine.notes
    );
}
