use super::*;
use crate::procedure::model::{Condition, Piece, Text};

fn answer(field: &str, one_of: &[&str]) -> Condition {
    let one_of = one_of.iter().map(|word| (*word).to_owned()).collect();
    Condition::Answer {
        group: "g".to_owned(),
        field: field.to_owned(),
        one_of,
    }
}

fn answers(group: &str, field: &str) -> Option<String> {
    lookup(&Reference::Card {
        group: group.to_owned(),
        field: field.to_owned(),
    })
    .map(|value| value.to_string())
}

#[test]
fn a_condition_holds_for_the_answers_it_names() {
    use Condition::{All, Always, Any, Not};
    let rows = [
        (Always, true),
        (answer("style", &["flare"]), true),
        (answer("style", &["quick", "flare"]), true),
        (answer("style", &["quick"]), false),
        (answer("turbo", &["yes"]), true),
        (answer("nowhere", &["yes", "no"]), false),
        (Not(Box::new(answer("nowhere", &["yes"]))), true),
        (
            All(vec![answer("style", &["flare"]), answer("turbo", &["no"])]),
            false,
        ),
        (
            Any(vec![answer("style", &["quick"]), answer("turbo", &["yes"])]),
            true,
        ),
        (Any(vec![]), false),
        (All(vec![]), true),
    ];
    for (condition, expected) in rows {
        assert_eq!(condition.holds(&answers), expected, "{condition:?}");
    }
}

#[test]
fn a_text_shows_values_and_a_gap_for_what_is_not_known() {
    let show = |field: &str| Piece::Show(card(field));
    let plain = |text: &str| Piece::Plain(text.to_owned());
    let text = Text(vec![
        plain("Fit the "),
        show("fuse"),
        plain(" fuse at "),
        show("nowhere"),
        plain("."),
    ]);
    assert_eq!(text.render(&lookup), "Fit the 25 A fuse at ….");
    assert_eq!(
        text.to_string(),
        "Fit the {card.g.fuse} fuse at {card.g.nowhere}."
    );
    assert_eq!(text.references().count(), 2);
}
