//! What is kept and told of a right answer, a wrong one and none, by drill.

use super::*;

/// Cells in which every source says one and the same state: what a plant of the taxon shows is certain
/// without drawing it. Trait, taxon, state.
fn certain(key: &Key) -> Vec<(&Trait, &str, String)> {
    let mut found = Vec::new();
    for taxon in &key.taxa {
        for one in &key.traits {
            let facts = taxon.facts(one.id.as_str());
            let said: Vec<String> = facts
                .iter()
                .filter_map(|fact| match &fact.value {
                    FactValue::State { state, .. } => Some(state.to_string()),
                    _ => None,
                })
                .collect();
            let alike = said.windows(2).all(|two| two[0] == two[1]);
            if let (Some(state), true) = (said.first(), alike)
                && one.visible_at(LeafStage::Tillering)
                && one.applies_to.is_none()
                && one.decides
            {
                found.push((one, taxon.id.as_str(), state.clone()));
            }
        }
    }
    found
}

#[tokio::test]
async fn a_trait_is_seen_rightly_wrongly_or_not_at_all() {
    let sample = Sample::empty();
    let cells = certain(&sample.app.key);
    assert!(cells.len() > 40, "{}", cells.len());
    for (number, (one, taxon, state)) in cells.iter().step_by(17).enumerate() {
        let question = format!("see.{}.{taxon}.tillering.{number}", one.id);
        let other = one
            .states()
            .iter()
            .find(|s| s.id != *state.as_str())
            .unwrap();
        for (said, verdict) in [
            (state.as_str(), "<h1>Right."),
            (other.id.as_str(), "<h1>Not so."),
            ("cannot_tell", "<h1>You could not tell."),
        ] {
            let (answer, told) = through(&sample, &question, &[("said", said)]).await;
            assert_eq!(
                (answer.drill, answer.scout.as_str()),
                (Drill::SeeTrait, SCOUT)
            );
            assert_eq!(answer.question, question);
            assert_eq!((answer.taxon, answer.named), (None, None));
            let reported = (said != "cannot_tell").then(|| said.to_owned());
            assert_eq!(
                answer.readings,
                [PracticeReading {
                    trait_id: one.id.to_string(),
                    shown: state.clone(),
                    reported,
                }],
                "{question}"
            );
            assert!(answer.seconds.is_some_and(|s| (0.0..60.0).contains(&s)));
            let common = &sample.app.key.taxon(taxon).unwrap().common_name;
            told.holds(verdict)
                .holds(&format!("The plant was drawn as {common}."))
                .holds("href=\"/practice/next\">Next")
                .holds(&format!("href=\"/key/{taxon}\""))
                .holds("class=\"m");
            // A source of the very cell, in full.
            let facts = sample.app.key.taxon(taxon).unwrap().facts(one.id.as_str());
            let page = told.text();
            assert!(
                facts.iter().any(|fact| {
                    let citation = &sample.app.key.sources[&fact.source].citation;
                    page.contains(&escaped(citation))
                }),
                "{question}: no source"
            );
        }
    }
}

/// Text as a page holds it.
fn escaped(text: &str) -> String {
    text.replace('&', "&#38;")
        .replace('<', "&#60;")
        .replace('"', "&#34;")
        .replace('\'', "&#39;")
}

#[tokio::test]
async fn two_are_told_apart_by_what_decides() {
    let sample = Sample::empty();
    let (one, other) = ("panicum_virgatum", "setaria_faberi");
    let mut by_nothing = 0;
    for seed in 0..6 {
        let question = format!("pair.{one}.{other}.tillering.{seed}");
        let (left, told_left) = through(
            &sample,
            &question,
            &[
                ("which", "left"),
                ("by", &first_by(&sample, &question).await),
            ],
        )
        .await;
        let (right, told_right) = through(
            &sample,
            &question,
            &[
                ("which", "right"),
                ("by", &first_by(&sample, &question).await),
            ],
        )
        .await;
        // One and only one side is right, and each calls the plant by the name that stands there.
        assert_ne!(left.named, right.named, "{question}");
        let wanted = left.taxon.clone().unwrap();
        assert!([one, other].contains(&wanted.as_str()));
        assert_eq!(left.taxon, right.taxon);
        assert_ne!(left.taxon, left.against);
        let name = &sample.app.key.taxon(&wanted).unwrap().common_name;
        let side = if left.named == left.taxon {
            "left"
        } else {
            "right"
        };
        for (answer, told) in [(&left, &told_left), (&right, &told_right)] {
            let text = told.text().to_lowercase();
            assert!(
                text.contains(&format!("{} is on the {side}.", name.to_lowercase())),
                "{text}"
            );
            let verdict = if answer.named == answer.taxon {
                "<h1>Right."
            } else {
                "<h1>Not so."
            };
            told.holds(verdict).holds("What decides here is");
            assert_eq!(told.text().matches("class=\"m b\"").count() % 2, 0);
            assert!(told.text().contains("class=\"m b\""), "no place is marked");
            told.holds(&format!("/key/{wanted}/or/"));
            if told.text().contains("That hardly parts the two.") && verdict == "<h1>Right." {
                by_nothing += 1;
                told.holds("may have been a guess");
            }
        }
        // Under the figures stand the names of those that are there, left first.
        let page = told_left.text().to_lowercase();
        let place = |id: &str| {
            let common = sample.app.key.taxon(id).unwrap().common_name.to_lowercase();
            page.find(&format!("<figcaption class=\"small\">{common}."))
                .unwrap()
        };
        let against = left.against.clone().unwrap();
        assert_eq!(
            place(&wanted) < place(&against),
            side == "left",
            "{question}"
        );
        let (open, told) = through(&sample, &question, &[("which", "cannot_tell")]).await;
        assert_eq!((open.named, open.by), (None, None));
        told.holds("<h1>You could not tell.")
            .holds("What decides here is");
    }
    assert!(by_nothing > 0, "nobody went by what says nothing");
}

/// The first trait offered.
async fn first_by(sample: &Sample, question: &str) -> String {
    hidden(&radios(&ask(sample, question, "book=0").await.text()), "by")
}

#[tokio::test]
async fn of_the_traits_offered_one_decides() {
    let sample = Sample::empty();
    for seed in 0..8 {
        let question = format!("pair.andropogon_gerardi.sorghastrum_nutans.tillering.{seed}");
        let page = ask(&sample, &question, "book=0").await;
        let by = radios(&page.text());
        let offered: Vec<&str> = by
            .split("name=\"by\" value=\"")
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap())
            .collect();
        assert!((2..=4).contains(&offered.len()), "{offered:?}");
        let mut deciding = 0;
        for trait_id in &offered {
            let answers = [("which", "left"), ("by", *trait_id)];
            let (answer, told) = through(&sample, &question, &answers).await;
            assert_eq!(answer.by.as_deref(), Some(*trait_id));
            deciding += usize::from(!told.text().contains("You went by"));
        }
        assert_eq!(deciding, 1, "{question}");
    }
}

#[tokio::test]
async fn a_plant_is_named() {
    let sample = Sample::empty();
    let weed = "name.setaria_faberi.tillering.3";
    for (question, said, verdict) in [
        (
            "name.panicum_virgatum.tillering.3",
            "panicum_virgatum",
            "<h1>Right.",
        ),
        (
            "name.panicum_virgatum.tillering.3",
            "setaria_faberi",
            "<h1>Not so.",
        ),
        (
            "name.andropogon_gerardi.tillering.3",
            "something_else",
            "<h1>Not so.",
        ),
        (
            "name.panicum_virgatum.tillering.3",
            "cannot_tell",
            "<h1>You could not tell.",
        ),
        (weed, "something_else", "<h1>Right."),
    ] {
        let (answer, told) = through(&sample, question, &[("said", said)]).await;
        let truth = question.split('.').nth(1).unwrap();
        assert_eq!(answer.taxon.as_deref(), Some(truth));
        let named = (said != "cannot_tell").then_some(said);
        assert_eq!(answer.named.as_deref(), named);
        let taxon = sample.app.key.taxon(truth).unwrap();
        told.holds(verdict).holds(&format!(
            "It is {} ({}).",
            taxon.common_name, taxon.scientific_name
        ));
        if said == "setaria_faberi" {
            told.holds("You said: giant foxtail.")
                .holds("What decides against giant foxtail is")
                .holds("/key/panicum_virgatum/or/setaria_faberi")
                .holds("class=\"m b\"");
        }
    }
    // A name from the list; none chosen from it.
    let page = ask(&sample, weed, "book=0").await;
    let refused = send(&sample, &page, SCOUT, &[("said", "listed"), ("listed", "")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let listed = [("said", "listed"), ("listed", "bromus_inermis")];
    let (answer, _) = through(&sample, weed, &listed).await;
    assert_eq!(answer.named.as_deref(), Some("bromus_inermis"));
    // The row for what the key has not is no answer.
    let page = ask(&sample, weed, "book=0").await;
    let refused = send(&sample, &page, SCOUT, &[("said", NOT_IN_KEY)]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn what_is_odd_about_a_plant_is_said_after_the_answer_only() {
    let sample = Sample::empty();
    let taxon = "andropogon_gerardi";
    let (mut missing, mut misleading) = (0, 0);
    for seed in 0..60 {
        let question = format!("name.{taxon}.tillering.{seed}");
        let page = ask(&sample, &question, "book=0").await;
        page.lacks("misleads");
        let lacks = page.text().contains("Not to be seen on this plant");
        let (_, told) = through(&sample, &question, &[("said", "cannot_tell")]).await;
        let told_odd = told.text().contains("One thing misleads") || lacks;
        assert!(!told_odd || chance(seed, taxon, "is odd") < ODD, "{seed}");
        if lacks {
            missing += 1;
            told.holds("Not to be seen on this plant");
        }
        if told.text().contains("One thing misleads on this plant") {
            misleading += 1;
            told.holds("No single look makes a name.");
            assert!(!lacks);
        }
    }
    assert!(missing >= 3 && misleading >= 3, "{missing} {misleading}");
}
