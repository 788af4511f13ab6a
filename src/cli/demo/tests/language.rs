//! The demonstration's script in another language.

use super::*;

/// The job played in German from the start, and in both languages with a switch in the middle of it.
#[test]
fn the_script_closes_the_job_in_german_and_across_a_switch() {
    let (german, english) = (Language::parse("de").expect("a tag"), Language::english());
    for (first, then) in [
        (&german, None),
        (&german, Some(&english)),
        (&english, Some(&german)),
    ] {
        let mut state = opened_in(first);
        let authored = state.in_language(&english).play().clone();
        let lines = lines();
        for (at, line) in lines.iter().enumerate() {
            if let (true, Some(then)) = (at == lines.len() / 2, then) {
                let switch = Event::Language(then.clone());
                state = player::advance(&state, &actor("ines.varga"), switch)
                    .expect("a switch")
                    .0;
            }
            state =
                follow(&state, line).unwrap_or_else(|refusal| panic!("line {}: {line:?}: {refusal}", at + 1));
        }
        assert!(state.closed(), "{}", state.prompt());
        every_step_is_worded_in_its_language(&state, first, &authored);
        what_was_signed_was_shown(&state);
        let facts: Vec<_> = state.facts().iter().cloned().collect();
        let findings = crate::audit::meaning::check(authored, &facts, &|id, _| actor(id), "test");
        assert_eq!(findings, []);
    }
}

/// Each step that was done says its command in the language that was spoken then.
fn every_step_is_worded_in_its_language(state: &State, first: &Language, authored: &Arc<Play>) {
    let mut language = first.clone();
    for fact in state.facts().iter() {
        match &fact.body {
            player::Body::Language { language: then } => language = then.clone(),
            player::Body::Done { step, wording } => {
                let english = &authored.step(step).expect("a step").command;
                // What shows a value says it as it stood then.
                if english.references().next().is_some() {
                    continue;
                }
                let same = wording.command == english.to_string();
                assert_eq!(
                    same,
                    language.is_english(),
                    "{step} in {language}: {}",
                    wording.command
                );
            }
            _ => {}
        }
    }
}

/// The page at the end shows the very sentences that are signed.
fn what_was_signed_was_shown(state: &State) {
    let page = crate::page::sign::end(state);
    let signed: Vec<&str> = state
        .facts()
        .iter()
        .filter_map(|fact| match &fact.body {
            player::Body::SignOff { statement, .. } | player::Body::JobRelease { statement, .. } => {
                Some(statement.as_str())
            }
            _ => None,
        })
        .collect();
    assert_eq!(signed, [page.sign_off_statement, page.release_statement]);
}
