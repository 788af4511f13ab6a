//! How one part of a fact is written and read: the table of each struct serves both ways.

use crate::procedure::{HazardId, ProcedureId, StepId, StepRef};
use crate::words::Language;
use chrono::NaiveDate;

/// What a body says that no fact can say.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Unfit(pub String);

impl From<serde_json::Error> for Unfit {
    fn from(error: serde_json::Error) -> Self {
        Self(error.to_string())
    }
}

/// The written form of a part `T` of a fact.
pub(super) trait Form<T>: Sized {
    /// The form of a part.
    fn form(part: &T) -> Self;

    /// The part again.
    ///
    /// # Errors
    /// The form says what no part can be.
    fn part(self) -> Result<T, Unfit>;
}

impl<T, F: Form<T>> Form<Vec<T>> for Vec<F> {
    fn form(part: &Vec<T>) -> Self {
        part.iter().map(F::form).collect()
    }

    fn part(self) -> Result<Vec<T>, Unfit> {
        self.into_iter().map(F::part).collect()
    }
}

impl<T, F: Form<T>> Form<Option<T>> for Option<F> {
    fn form(part: &Option<T>) -> Self {
        part.as_ref().map(F::form)
    }

    fn part(self) -> Result<Option<T>, Unfit> {
        self.map(F::part).transpose()
    }
}

/// A part that is rare and large stands on the heap; on disk that makes no difference.
impl<T, F: Form<T>> Form<Box<T>> for F {
    fn form(part: &Box<T>) -> Self {
        F::form(part)
    }

    fn part(self) -> Result<Box<T>, Unfit> {
        F::part(self).map(Box::new)
    }
}

/// Parts that are their own form.
macro_rules! plain {
    ($($type:ty),*) => {$(
        impl Form<$type> for $type {
            fn form(part: &$type) -> Self {
                part.clone()
            }

            fn part(self) -> Result<$type, Unfit> {
                Ok(self)
            }
        }
    )*};
}
plain!(bool, u32, u64, String, NaiveDate);

/// Ids of the content, written as their text.
macro_rules! ids {
    ($($id:ident),*) => {$(
        impl Form<$id> for String {
            fn form(part: &$id) -> Self {
                part.0.clone()
            }

            fn part(self) -> Result<$id, Unfit> {
                slug(&self).map($id)
            }
        }
    )*};
}
ids!(HazardId, ProcedureId);

impl Form<StepRef> for String {
    fn form(part: &StepRef) -> Self {
        part.to_string()
    }

    fn part(self) -> Result<StepRef, Unfit> {
        let parts = self.split_once('.');
        let (procedure, step) =
            parts.ok_or_else(|| Unfit(format!("`{self}` is not a step: procedure.step is expected")))?;
        Ok(StepRef {
            procedure: ProcedureId(slug(procedure)?),
            step: StepId(slug(step)?),
        })
    }
}

/// Reads an id of the content.
fn slug(text: &str) -> Result<String, Unfit> {
    let allowed = |byte: u8| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_');
    if (1..=80).contains(&text.len()) && text.bytes().all(allowed) {
        Ok(text.to_owned())
    } else {
        let found: String = text.chars().take(80).collect();
        Err(Unfit(format!(
            "`{found}` is not an id: 1 to 80 of a-z 0-9 - _ are expected"
        )))
    }
}

impl Form<Language> for String {
    fn form(part: &Language) -> Self {
        part.to_string()
    }

    fn part(self) -> Result<Language, Unfit> {
        Language::parse(&self).map_err(|error| Unfit(error.to_string()))
    }
}

/// A struct on disk and its counterpart in a fact, field by field.
macro_rules! form {
    ($(
        $(#[$doc:meta])*
        $name:ident for $part:ty { $($(#[$attribute:meta])* $field:ident: $type:ty),* $(,)? }
    )*) => {$(
        $(#[$doc])*
        #[derive(serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name { $($(#[$attribute])* pub $field: $type),* }

        impl $crate::record::body::form::Form<$part> for $name {
            fn form(part: &$part) -> Self {
                Self { $($field: $crate::record::body::form::Form::form(&part.$field)),* }
            }

            fn part(self) -> Result<$part, $crate::record::body::form::Unfit> {
                type Part = $part;
                Ok(Part { $($field: $crate::record::body::form::Form::part(self.$field)?),* })
            }
        }
    )*};
}

/// A struct of two keys on disk, and a pair in a fact.
macro_rules! pair {
    ($($(#[$doc:meta])* $name:ident { $first:ident: $a:ty as $a_part:ty, $second:ident: $b:ty as $b_part:ty })*) => {$(
        $(#[$doc])*
        #[derive(serde::Serialize, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name { pub $first: $a, pub $second: $b }

        impl $crate::record::body::form::Form<($a_part, $b_part)> for $name {
            fn form(part: &($a_part, $b_part)) -> Self {
                Self {
                    $first: $crate::record::body::form::Form::form(&part.0),
                    $second: $crate::record::body::form::Form::form(&part.1),
                }
            }

            fn part(self) -> Result<($a_part, $b_part), $crate::record::body::form::Unfit> {
                Ok((
                    $crate::record::body::form::Form::part(self.$first)?,
                    $crate::record::body::form::Form::part(self.$second)?,
                ))
            }
        }
    )*};
}

/// A closed list of words, each with its one counterpart in a fact.
macro_rules! words {
    ($($(#[$doc:meta])* $name:ident for $part:ident { $($word:ident),* $(,)? })*) => {$(
        $(#[$doc])*
        #[derive(serde::Serialize, serde::Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub(super) enum $name { $($word),* }

        impl $crate::record::body::form::Form<$part> for $name {
            fn form(part: &$part) -> Self {
                match part { $($part::$word => Self::$word),* }
            }

            fn part(self) -> Result<$part, $crate::record::body::form::Unfit> {
                Ok(match self { $(Self::$word => $part::$word),* })
            }
        }
    )*};
}

pub(super) use {form, pair, words};
