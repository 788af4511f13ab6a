//! A word in a condition or a band is one that the answer or the reading may be.

use super::scope::{Met, Scope};
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::{Mark, Type};
use crate::procedure::model::Reference;

const RULE: &str = "unknown-choice";

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        match &met.marked.mark {
            Mark::Answers {
                group, field, one_of, ..
            } => {
                let of = scope.type_of(&Reference::Card {
                    group: group.clone(),
                    field: field.clone(),
                });
                let (its, it) = (
                    format!("the choices of `card.{group}.{field}`"),
                    format!("`card.{group}.{field}`"),
                );
                one_of
                    .iter()
                    .for_each(|word| legal(&met, word, &of, (&its, &it), report));
            }
            Mark::Word { word, target } => {
                legal(
                    &met,
                    word,
                    &scope.type_of_target(target),
                    ("its choices", "it"),
                    report,
                );
            }
            Mark::WordOf { of, target } => {
                let (given, wanted) = (scope.type_of(of), scope.type_of_target(target));
                words_of(&met, of, &given, &wanted, report);
            }
            _ => {}
        }
    }
}

/// Refuses a word that is none of the choices; `its` and `it` name them and what has them.
fn legal(met: &Met, word: &str, of: &Type, (its, it): (&str, &str), report: &mut Report) {
    match of {
        Type::Among(words) if !words.iter().any(|known| known == word) => {
            let fault = met.found(RULE, quoted(word), &format!("one of {its}"));
            report.push(fault.choose(word, words.iter().cloned()));
        }
        Type::Number(dimension) => {
            let expected = format!("limits in numbers, since {it} is {}", dimension.name());
            report.push(met.found("band-kind", quoted(word), &expected));
        }
        Type::Words => {
            let expected = format!("a choice or yes/no to judge, but {it} is free text");
            report.push(met.found("band-kind", quoted(word), &expected));
        }
        _ => {}
    }
}

fn words_of(met: &Met, of: &Reference, given: &Type, wanted: &Type, report: &mut Report) {
    match (given, wanted) {
        (Type::Among(given), Type::Among(wanted)) => {
            if !given.iter().any(|word| wanted.contains(word)) {
                let found = format!("`{of}`, which is {}", given.join(" or "));
                report.push(
                    met.found(RULE, found, "words that can be equal")
                        .choose("", wanted.iter().cloned()),
                );
            }
        }
        (Type::Any, _) | (_, Type::Any) => {}
        (Type::Number(_), _) | (_, Type::Number(_)) => {
            let found = format!("`equals` with `{of}`");
            let fault = met.found(
                "band-kind",
                found,
                "`around` and `within`, since numbers are never quite equal",
            );
            report.push(fault);
        }
        (Type::Words, _) | (_, Type::Words) => {
            let found = format!("`equals` with `{of}`");
            report.push(met.found(
                "band-kind",
                found,
                "choices or yes/no, since free text is not judged",
            ));
        }
    }
}
