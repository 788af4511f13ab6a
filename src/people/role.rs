//! What a person may do.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A role in the shop. A person has one or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Follows the steps and signs for them.
    Apprentice,
    /// Works alone on what they are signed off for.
    Fitter,
    /// Releases hold points, judges deviations, keeps people and instruments.
    Supervisor,
    /// Writes procedures.
    Author,
}

impl Role {
    /// Every role.
    pub const ALL: [Role; 4] = [Role::Apprentice, Role::Fitter, Role::Supervisor, Role::Author];

    /// The role's name, as it stands in the roster and on screen.
    pub const fn as_str(self) -> &'static str {
        match self {
            Role::Apprentice => "apprentice",
            Role::Fitter => "fitter",
            Role::Supervisor => "supervisor",
            Role::Author => "author",
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::str::FromStr for Role {
    type Err = String;

    fn from_str(text: &str) -> Result<Role, String> {
        let found = Role::ALL.into_iter().find(|role| role.as_str() == text);
        found.ok_or_else(|| format!("`{text}` is not a role: apprentice, fitter, supervisor or author"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_and_text_use_the_same_word() {
        for role in Role::ALL {
            assert_eq!(serde_json::to_string(&role).ok(), Some(format!("\"{role}\"")));
            assert_eq!(role.as_str().parse(), Ok(role));
        }
        assert!("Supervisor".parse::<Role>().is_err());
    }
}
