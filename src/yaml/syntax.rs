//! Error messages for text that is not YAML.
//!
//! The parser's own messages mention tokens and simple keys. An electrician needs to know which
//! bracket, quote, colon or indentation to look at.

use super::diagnostics::Problems;
use super::file_kind::Form;
use super::source::{Source, Span};
use crate::quoted::is_invisible;
use granit_parser::{ErrorKind as E, ScanError};

/// Reports a syntax error.
pub(super) fn report(error: &ScanError, form: &Form, source: &Source<'_>, problems: &mut Problems) {
    let mut start = error
        .marker()
        .byte_offset()
        .unwrap_or(0)
        .min(source.text.len());
    let (mut message, mut help) = words(error.kind(), form);
    let quote = match error.kind() {
        E::InvalidTrailingDoubleQuotedScalar => Some('"'),
        E::InvalidTrailingSingleQuotedScalar => Some('\''),
        _ => None,
    };
    if let Some(open) = quote.and_then(|q| open_quote(source, start, q)) {
        start = open;
        (message, help) = words(&E::UnclosedQuotedScalar, form);
    } else if matches!(error.kind(), E::MappingValueNotAllowed)
        && let Some(colon) = tight_colon(source, start)
    {
        start = colon;
        message = "a space is missing after this colon".into();
        help = "write a key, a colon, a space and the value".into();
    }
    if matches!(
        error.kind(),
        E::ExpectedFlowMappingSeparator
            | E::ExpectedFlowSequenceSeparator
            | E::UnclosedFlowCollection { .. }
            | E::UnexpectedEofFlowMapping
            | E::UnexpectedEofFlowSequence
            | E::UnexpectedEofImplicitFlowMapping
    ) && let Some((hash, value)) = comment_for_value(source, start)
    {
        start = hash;
        message = "`#` begins a comment here, so the rest of the line with its bracket is not read"
            .into();
        let help = format!("put the value in quotes: \"{value}\"");
        problems.push(Some(Span::range(start, start + 1)), message, help);
        return;
    }
    // The parser reports the beginning of the value that contains the character.
    if let E::UnexpectedCharacter { character } = error.kind()
        && let Some(found) = source.text.get(start..).and_then(|t| t.find(*character))
    {
        start += found;
    }
    let width = source
        .text
        .get(start..)
        .and_then(|t| t.chars().next())
        .map_or(0, char::len_utf8);
    problems.push(Some(Span::range(start, start + width)), message, help);
}

/// A quote in a line before `offset` that is not closed on its own line, if the lines before
/// contain an odd number of such quotes: the parser notices only at the next quote.
fn open_quote(source: &Source<'_>, offset: usize, quote: char) -> Option<usize> {
    let before = source.text.get(..offset)?;
    let line_start = before.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    let mut open = None;
    let mut odd = false;
    let mut at = 0;
    for line in before.get(..line_start)?.split_inclusive(['\n', '\r']) {
        let mut quotes = line
            .match_indices(quote)
            .filter(|(i, _)| !line[..*i].ends_with('\\'));
        if quotes.clone().count() % 2 == 1 {
            odd = !odd;
            open = quotes.next_back().map(|(i, _)| at + i);
        }
        at += line.len();
    }
    open.filter(|_| odd)
}

/// A `#` where a value should begin, inside brackets on the line with `offset` or on the last
/// non-blank line before it, and the intended value: `{ size: #6 AWG, … }`.
fn comment_for_value<'s>(source: &Source<'s>, offset: usize) -> Option<(usize, &'s str)> {
    let text: &'s str = source.text;
    let before = text.get(..offset)?;
    let own_start = before.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    let previous = before.get(..own_start)?.trim_end();
    let previous_start = previous.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    [own_start, previous_start].into_iter().find_map(|from| {
        let line = text.get(from..)?.lines().next()?;
        let hash = line.match_indices(" #").map(|(i, _)| i + 1).find(|&i| {
            let (head, quotes) = (&line[..i], |q: char| line[..i].matches(q).count());
            head.trim_end().ends_with(':')
                && head.contains(['{', '['])
                && quotes('"') % 2 == 0
                && quotes('\'') % 2 == 0
        })?;
        let rest = &line[hash..];
        let end = rest.find([',', '}', ']']).unwrap_or(rest.len());
        Some((from + hash, rest[..end].trim_end()))
    })
}

/// The colon of `key:value` on the line before the one with `offset`: YAML reads such a line as
/// text and fails at the next colon.
fn tight_colon(source: &Source<'_>, offset: usize) -> Option<usize> {
    let before = source.text.get(..offset)?;
    let line_start = before.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    let previous = before.get(..line_start)?.trim_end();
    let previous_start = previous.rfind(['\n', '\r']).map_or(0, |i| i + 1);
    let line = &previous[previous_start..];
    let word = line.trim_start().trim_start_matches("- ");
    let (key, value) = word.split_once(':')?;
    let tight = !key.is_empty()
        && key.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')
        && !value.starts_with([' ', '\t', '/'])
        && !value.is_empty();
    tight.then(|| previous_start + line.len() - word.len() + key.len())
}

/// The error message and the advice.
fn words(kind: &E, form: &Form) -> (String, String) {
    let Form { name, about, .. } = form;
    match kind {
        E::RecursionLimitExceeded => (
            format!("lists and maps are nested more than {} deep", form.nesting),
            format!(
                "a {name} needs {} at most; look for brackets that are never closed",
                form.usual_nesting
            ),
        ),
        E::UndeclaredTagHandle
        | E::ExpectedTagBang
        | E::InvalidTagTerminator
        | E::MissingTagUri
        | E::UnclosedVerbatimTag
        | E::InvalidTagEscape
        | E::InvalidTagUtf8LeadingByte
        | E::InvalidTagUtf8TrailingByte
        | E::InvalidTagUtf8 => (
            format!("`!` begins a YAML tag here, which has no meaning in a {name}"),
            "put a text that begins with `!` in quotes".into(),
        ),
        E::DuplicateVersionDirective
        | E::UnsupportedYamlMajorVersion
        | E::DuplicateTagDirective
        | E::ExpectedDocumentStart
        | E::MissingDocumentEndBeforeDirective
        | E::InvalidDocumentEnd => (
            format!("the {about} has ended, and something else begins here"),
            format!(
                "keep one {about} a file; begin every top key in the first column, and take \
                 lines such as `---`, `...` and `%` away"
            ),
        ),
        _ => {
            let (message, help) = common_words(kind);
            (message, help.into())
        }
    }
}

/// The messages that are the same for every kind of file.
fn common_words(kind: &E) -> (String, &'static str) {
    const INDENT: &str =
        "indent with spaces, and every entry of one list or map by the same number";
    match kind {
        E::TabNotAllowed
        | E::TabInBlockIndentation
        | E::TabInIndentation
        | E::TabAtBlockScalarStart
        | E::TabInPlainScalar => (
            "there is a tab where only spaces are allowed".into(),
            INDENT,
        ),
        E::MappingValueNotAllowed | E::InvalidColonPlacement => (
            "there is a second `:` in this line, or the line is indented unlike the one before it"
                .into(),
            "put a text that holds `: ` in quotes, such as \"Panel: cover off\"; begin every key \
             of one map in the same column, and put a space after its colon",
        ),
        E::SimpleKeyExpected
        | E::InvalidSimpleKey
        | E::ExpectedBlockMappingKey
        | E::MappingKeyNotAllowed
        | E::InvalidMappingValueWhitespace => (
            "this is not `key: value`".into(),
            "write a key, a colon, a space and the value; begin every key of one map in the same \
             column",
        ),
        E::FlowMappingValueAdjacentCollection => (
            "a value follows a bracket without a space".into(),
            "put a space after the colon",
        ),
        E::UnclosedFlowCollection { open } => (
            format!("this `{open}` is never closed"),
            "close it with the matching bracket at the end of the list or map",
        ),
        E::MismatchedFlowCollectionEnd { open, close } => (
            format!("this `{open}` is closed by `{close}`"),
            "close `{` with `}` and `[` with `]`",
        ),
        E::MisplacedFlowCollectionEnd => (
            "this bracket closes nothing".into(),
            "delete it, or open the list or map that it closes",
        ),
        E::ExpectedFlowMappingSeparator
        | E::ExpectedFlowSequenceSeparator
        | E::UnexpectedEofFlowMapping
        | E::UnexpectedEofFlowSequence
        | E::UnexpectedEofImplicitFlowMapping => (
            "a comma or a closing bracket is missing before this".into(),
            "separate the entries between brackets with commas, and close every `{` with `}` and \
             every `[` with `]`",
        ),
        E::ExpectedBlockSequenceEntry
        | E::BlockSequenceEntryNotAllowed
        | E::BlockEntryInFlowCollection
        | E::InvalidBlockEntryWhitespace => (
            "this line does not fit the list before it".into(),
            "look at its indentation: begin every entry of a list with `- ` in one column, and a \
             key in the column of the keys it belongs with",
        ),
        E::InvalidIndentation | E::InvalidFlowScalarIndent | E::InvalidBlockScalarIndent => (
            "this line is indented unlike the lines around it".into(),
            INDENT,
        ),
        E::InvalidQuotedScalarIndent => (
            "a quoted text goes on here with too little indentation".into(),
            "indent the further lines of a quoted text more than its key, or close the quote",
        ),
        E::UnclosedQuotedScalar | E::DocumentIndicatorInQuotedScalar => (
            "this quote is never closed".into(),
            "close it; a `\"` inside double quotes is written `\\\"`, a `'` inside single quotes `''`",
        ),
        E::InvalidTrailingSingleQuotedScalar | E::InvalidTrailingDoubleQuotedScalar => (
            "something follows the closing quote".into(),
            "put the whole value in quotes, or none of it",
        ),
        E::UnknownQuotedScalarEscape
        | E::InvalidQuotedScalarHexEscape
        | E::InvalidLowSurrogateHexEscape
        | E::InvalidLowSurrogate
        | E::MissingLowSurrogate
        | E::UnpairedLowSurrogate
        | E::InvalidUnicodeEscape => (
            "a backslash inside double quotes begins an escape, and this is none".into(),
            "write `\\\\` for a backslash, or use single quotes",
        ),
        E::UnknownAnchor => (
            "`*` begins an alias here, but no `&` with that name precedes it".into(),
            "put a text that begins with `*` in quotes",
        ),
        E::MissingAnchorOrAliasName => (
            "`&` and `*` have a meaning of their own at the beginning of a value".into(),
            "put a text that begins with `&` or `*` in quotes",
        ),
        E::UnexpectedCharacter { character }
            if character.is_control() || is_invisible(*character) =>
        {
            (
                format!(
                    "there is a control character (U+{:04X}) here",
                    u32::from(*character)
                ),
                "delete it; the file must be plain text",
            )
        }
        E::UnexpectedCharacter { character } => (
            format!("no value can begin with `{character}`"),
            "put the value in quotes",
        ),
        E::BomInsideDocument => (
            "there is a byte-order mark inside the file".into(),
            "delete the invisible character; save the file as UTF-8",
        ),
        E::CommentNotSeparated | E::CommentInterceptedScalar => (
            "a comment begins here in the middle of a value".into(),
            "put a space before the `#` of a comment; put a text that contains ` #` in quotes",
        ),
        E::ZeroBlockScalarIndent | E::InvalidBlockScalarHeader => (
            "`|` and `>` begin a text of several lines, and the text begins on the next line"
                .into(),
            "end the line after the `|`, or put a text that begins with it in quotes",
        ),
        E::PlainScalarStartsWithDashFlowIndicator | E::UnexpectedEndOfPlainScalar => (
            "no value can begin like this".into(),
            "put the value in quotes",
        ),
        _ => (
            "this is not valid YAML from here on".into(),
            "look at the line before: a missing space after a colon, a quote, a bracket, or the \
             indentation",
        ),
    }
}
