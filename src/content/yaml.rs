//! The events of the YAML parser to a tree. No other file names the parser's crate.
//!
//! The tree is built from events with a stack of its own: values are never guessed to be numbers or
//! booleans, each keeps its place, and no nesting can exhaust the program's stack.

use super::{DEEPEST, Key, Kind, MOST_NODES, Node, Spot};
use crate::diagnostic::{Diagnostic, Report, quoted};
use serde_yaml::granit_parser::{self, ErrorKind, Event, Parser, ScalarStyle, ScanError, Span};
use std::collections::HashSet;

/// Reads the one document of a text.
pub(super) fn read(path: &str, text: &str, faults: &mut Report) -> Option<Node> {
    let options = granit_parser::options! {
        flow_nesting_limit: DEEPEST,
        block_nesting_limit: DEEPEST,
        emit_comments: false,
        emit_unresolved_aliases: true,
    };
    let mut builder = Builder::new(path, faults);
    for event in Parser::new_from_str_with_options(text, options) {
        let taken = match event {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => Err(syntax(&error)),
        };
        if let Err(stop) = taken {
            builder.fault(stop.spot, stop.rule, stop.found, stop.expected);
            return None;
        }
    }
    builder.root
}

/// Why no tree can be made.
struct Stop {
    spot: Spot,
    rule: &'static str,
    found: String,
    expected: String,
}

fn stop(spot: Spot, rule: &'static str, found: &str, expected: String) -> Stop {
    Stop {
        spot,
        rule,
        found: found.to_owned(),
        expected,
    }
}

/// A list or map that has not ended yet.
struct Open {
    spot: Spot,
    content: Content,
}

enum Content {
    List(Vec<Node>),
    Map {
        entries: Vec<(Key, Node)>,
        seen: HashSet<String>,
        key: Option<Key>,
    },
}

struct Builder<'a> {
    path: &'a str,
    faults: &'a mut Report,
    open: Vec<Open>,
    root: Option<Node>,
    documents: usize,
    nodes: usize,
}

impl<'a> Builder<'a> {
    fn new(path: &'a str, faults: &'a mut Report) -> Self {
        Self {
            path,
            faults,
            open: Vec::new(),
            root: None,
            documents: 0,
            nodes: 0,
        }
    }

    fn fault(
        &mut self,
        spot: Spot,
        rule: &'static str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.faults
            .push(Diagnostic::new(spot.within(self.path), rule, found, expected));
    }

    /// A part of YAML that this language has not.
    fn refuse(&mut self, spot: Spot, what: &str, instead: &str) {
        self.fault(spot, "yaml-feature", what, instead);
    }

    fn take(&mut self, event: Event<'_>, span: Span) -> Result<(), Stop> {
        let spot = spot_of(span);
        self.properties(&event, spot, span);
        match event {
            Event::DocumentStart(..) => self.document(spot),
            Event::Scalar(text, style, ..) => {
                let plain = style == ScalarStyle::Plain;
                self.scalar(spot, text.into_owned(), plain)
            }
            Event::Alias(..) | Event::UnresolvedAlias(..) => {
                self.refuse(
                    spot,
                    "an alias",
                    "the value itself, since nothing is repeated by name",
                );
                self.scalar(spot, String::new(), true)
            }
            Event::SequenceStart(..) => self.begin(spot, Content::List(Vec::new())),
            Event::MappingStart(..) => {
                let content = Content::Map {
                    entries: Vec::new(),
                    seen: HashSet::new(),
                    key: None,
                };
                self.begin(spot, content)
            }
            Event::SequenceEnd | Event::MappingEnd => self.end(),
            _ => Ok(()),
        }
    }

    /// Anchors and tags are refused, and what they stand on is read without them.
    fn properties(&mut self, event: &Event<'_>, spot: Spot, span: Span) {
        if event.anchor_id().is_some() {
            self.refuse(spot, "an anchor (`&`)", "a value without an anchor");
        }
        if event.tag().is_some() {
            let spot = span
                .tag_start()
                .map_or(spot, |mark| spot_at(mark.line(), mark.col()));
            self.refuse(spot, "a tag (`!`)", "a value without a tag");
        }
    }

    fn document(&mut self, spot: Spot) -> Result<(), Stop> {
        self.documents += 1;
        if self.documents > 1 {
            return Err(stop(
                spot,
                "yaml-feature",
                "a second document",
                "one document in a file".to_owned(),
            ));
        }
        Ok(())
    }

    fn count(&mut self, spot: Spot) -> Result<(), Stop> {
        self.nodes += 1;
        if self.nodes > MOST_NODES {
            let expected = format!("at most {MOST_NODES} lists, maps and words in one file");
            return Err(stop(spot, "too-large", "more than can be read", expected));
        }
        Ok(())
    }

    fn begin(&mut self, spot: Spot, content: Content) -> Result<(), Stop> {
        self.count(spot)?;
        if self.wants_key() {
            return Err(stop(
                spot,
                "yaml-feature",
                "a list or map as a key",
                "a word as a key".to_owned(),
            ));
        }
        if self.open.len() >= DEEPEST {
            return Err(too_deep(spot));
        }
        self.open.push(Open { spot, content });
        Ok(())
    }

    fn end(&mut self) -> Result<(), Stop> {
        if let Some(Open { spot, content }) = self.open.pop() {
            let kind = match content {
                Content::List(items) => Kind::List(items),
                Content::Map { entries, .. } => Kind::Map(entries),
            };
            self.place(Node { spot, kind });
        }
        Ok(())
    }

    fn wants_key(&self) -> bool {
        matches!(
            self.open.last(),
            Some(Open {
                content: Content::Map { key: None, .. },
                ..
            })
        )
    }

    fn scalar(&mut self, spot: Spot, text: String, plain: bool) -> Result<(), Stop> {
        self.count(spot)?;
        if self.wants_key() {
            self.key(Key { text, spot });
        } else {
            self.place(Node {
                spot,
                kind: Kind::Scalar { text, plain },
            });
        }
        Ok(())
    }

    fn key(&mut self, new: Key) {
        if new.text == "<<" {
            self.refuse(new.spot, "a merge key (`<<`)", "the keys themselves");
        }
        let mut twice = false;
        if let Some(Open {
            content: Content::Map { seen, key, .. },
            ..
        }) = self.open.last_mut()
        {
            twice = !seen.insert(new.text.clone());
            *key = Some(new.clone());
        }
        if twice {
            let found = format!("the key {} for the second time", quoted(&new.text));
            self.fault(new.spot, "duplicate-key", found, "each key once in its map");
        }
    }

    /// Puts a finished node where it belongs. The first of two equal keys stays.
    fn place(&mut self, node: Node) {
        match self.open.last_mut() {
            None => self.root = Some(node),
            Some(Open {
                content: Content::List(items),
                ..
            }) => items.push(node),
            Some(Open {
                content: Content::Map { entries, key, .. },
                ..
            }) => {
                if let Some(key) = key.take() {
                    entries.push((key, node));
                }
            }
        }
    }
}

fn spot_of(span: Span) -> Spot {
    spot_at(span.start.line(), span.start.col())
}

fn spot_at(line: usize, columns_before: usize) -> Spot {
    let column = u32::try_from(columns_before)
        .unwrap_or(u32::MAX)
        .saturating_add(1);
    Spot {
        line: u32::try_from(line).unwrap_or(u32::MAX),
        column,
    }
}

fn too_deep(spot: Spot) -> Stop {
    let expected = format!("at most {DEEPEST} levels of lists and maps");
    stop(spot, "too-deep", "one level more", expected)
}

/// The parser's complaint in the words of an author.
fn syntax(error: &ScanError) -> Stop {
    let spot = spot_at(error.marker().line(), error.marker().col());
    let (found, expected) = match error.kind() {
        ErrorKind::RecursionLimitExceeded => return too_deep(spot),
        ErrorKind::UnexpectedCharacter { character } => {
            let found = format!("the character {}", quoted(&character.to_string()));
            (found, "a value; put a text that begins so in quotes")
        }
        kind => match said(kind) {
            Some((found, expected)) => (found.to_owned(), expected),
            None => (format!("broken YAML ({kind:?})"), "well-formed YAML"),
        },
    };
    stop(spot, "yaml-syntax", &found, expected.to_owned())
}

/// What was found and what is expected, for the complaints that authors meet.
fn said(kind: &ErrorKind) -> Option<(&'static str, &'static str)> {
    Some(match kind {
        ErrorKind::TabInIndentation | ErrorKind::TabInBlockIndentation | ErrorKind::TabNotAllowed => {
            ("a tab", "spaces, since YAML indents with spaces alone")
        }
        ErrorKind::UnclosedQuotedScalar => ("a quote without its end", "the same quote mark at the end"),
        ErrorKind::UnclosedFlowCollection { .. }
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofFlowSequence => ("a bracket without its end", "the closing bracket"),
        ErrorKind::MappingValueNotAllowed => (
            "a second `: ` in one value",
            "quotes around a text that holds a colon and a space",
        ),
        ErrorKind::InvalidColonPlacement => (
            "a `:` where none can stand",
            "a bracket that ends before it, or quotes around the text that holds it",
        ),
        ErrorKind::ExpectedFlowMappingSeparator => ("something else", "`,` or `}`"),
        ErrorKind::ExpectedFlowSequenceSeparator => ("something else", "`,` or `]`"),
        ErrorKind::SimpleKeyExpected => ("a line without `: `", "`key: value`"),
        ErrorKind::InvalidIndentation | ErrorKind::ExpectedBlockMappingKey => (
            "a line that is indented unlike its neighbours",
            "the indentation of its map or list",
        ),
        _ => return None,
    })
}
