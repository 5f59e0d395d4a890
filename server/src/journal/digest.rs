//! Comparing a repeated request with the first one without keeping what it said.
//!
//! For each top-level field of the request a digest of eight bytes is kept, salted with the request's number,
//! so that names do not stay readable and the same name in two requests leaves no common trace.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use sha2::{Digest, Sha256};

use super::canon::{Canon, Field};
use super::rows::RequestId;

/// Name under which a request that is no JSON object is compared as a whole.
const WHOLE: &str = "(request)";

/// One digest for each top-level field of a request, by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FieldDigests(Vec<(Cow<'static, str>, u64)>);

/// Stored digests that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error(
    "the stored digests of a request cannot be read ({0}); the journal's events are unharmed; send the command \
     again as a new request"
)]
pub struct DigestError(String);

impl FieldDigests {
    /// Digests of a request's top-level fields. A field that is `null` counts as absent, so that a newer
    /// server, which knows more fields, still recognises an older request.
    ///
    /// # Panics
    /// When the request holds what JSON could not express either: a map whose keys are neither texts nor numbers.
    pub fn of(request: &impl Serialize, request_id: &RequestId) -> Self {
        let canon = Canon::of(request).expect("requests hold only what JSON can express");
        let Some(fields) = canon.fields else {
            return Self(vec![(WHOLE.into(), digest(request_id, &canon.bytes))]);
        };
        let of = |field: Field| (field.name, digest(request_id, &canon.bytes[field.at]));
        Self(fields.into_iter().map(of).collect())
    }

    /// The same with one field more.
    #[must_use]
    pub fn and(mut self, name: &'static str, value: &impl Serialize, request_id: &RequestId) -> Self {
        let more = Self::of(&BTreeMap::from([(name, value)]), request_id);
        self.0.extend(more.0);
        self.0.sort_unstable();
        self
    }

    /// As a JSON object of field names and digests in hexadecimal, for [`AnswerRow::fields`](super::AnswerRow).
    pub fn to_text(&self) -> String {
        let mut text = String::with_capacity(2 + 36 * self.0.len());
        for (name, digest) in &self.0 {
            text.push(if text.is_empty() { '{' } else { ',' });
            push_quoted(&mut text, name);
            text.push_str(":\"");
            text.extend((0..16).rev().map(|digit| HEX[(digest >> (4 * digit)) as usize & 15]));
            text.push('"');
        }
        text.push_str(if text.is_empty() { "{}" } else { "}" });
        text
    }

    /// Reads what [`to_text`](Self::to_text) wrote.
    ///
    /// # Errors
    /// [`DigestError`] when the text is anything else.
    pub fn parse(text: &str) -> Result<Self, DigestError> {
        let fields: BTreeMap<String, String> =
            serde_json::from_str(text).map_err(|error| DigestError(error.to_string()))?;
        let read = |(name, hex): (String, String)| match u64::from_str_radix(&hex, 16) {
            Ok(digest) if hex.len() == 16 => Ok((name.into(), digest)),
            _ => Err(DigestError(format!("field {name} has no digest of 16 hexadecimal digits"))),
        };
        fields.into_iter().map(read).collect::<Result<_, _>>().map(Self)
    }

    /// Name of the first field, in alphabetical order, that is not the same in both; `None` when all are.
    pub fn differs(&self, other: &Self) -> Option<String> {
        let [mine, theirs]: [BTreeMap<_, _>; 2] =
            [self, other].map(|digests| digests.0.iter().map(|(name, digest)| (name, digest)).collect());
        let names: BTreeSet<_> = mine.keys().chain(theirs.keys()).collect();
        names.into_iter().find(|name| mine.get(*name) != theirs.get(*name)).map(ToString::to_string)
    }
}

const HEX: [char; 16] = ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', 'a', 'b', 'c', 'd', 'e', 'f'];

/// A name as a JSON text. Names of fields need no escapes; a name may hold anything all the same.
fn push_quoted(text: &mut String, name: &str) {
    if name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_') {
        text.push('"');
        text.push_str(name);
        text.push('"');
    } else {
        text.push_str(&serde_json::Value::from(name).to_string());
    }
}

/// Of a field as [`Canon`] writes it, or of the bytes of a request that is no object.
fn digest(request_id: &RequestId, bytes: &[u8]) -> u64 {
    let whole: [u8; 32] = Sha256::new().chain_update(request_id).chain_update(bytes).finalize().into();
    u64::from_be_bytes(std::array::from_fn(|i| whole[i]))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;

    const ID: RequestId = [7; 16];

    fn of(value: &Value) -> FieldDigests {
        FieldDigests::of(value, &ID)
    }

    #[test]
    fn same_content_in_another_order_is_the_same() {
        let one: Value = serde_json::from_str(r#"{"tag":"123","gear":{"kind":"foil","n":1}}"#).unwrap();
        let two: Value = serde_json::from_str(r#"{"gear":{"n":1,"kind":"foil"},"tag":"123"}"#).unwrap();
        assert_eq!(of(&one).differs(&of(&two)), None);
    }

    #[test]
    fn first_differing_field_is_named() {
        let base = of(&json!({"a": 1, "b": "x", "c": [1, 2]}));
        assert_eq!(base.differs(&of(&json!({"a": 1, "b": "y", "c": [1]}))).as_deref(), Some("b"));
        assert_eq!(base.differs(&of(&json!({"a": 1, "b": "x"}))).as_deref(), Some("c"));
        assert_eq!(
            base.differs(&of(&json!({"a": 1, "aa": 0, "b": "x", "c": [1, 2]}))).as_deref(),
            Some("aa")
        );
        assert_eq!(of(&json!("x")).differs(&of(&json!("y"))).as_deref(), Some("(request)"));
    }

    #[test]
    fn null_counts_as_absent_and_likes_are_told_apart() {
        assert_eq!(of(&json!({"a": 1, "new": null})), of(&json!({"a": 1})));
        assert_eq!(of(&json!({"a": {"b": null}})), of(&json!({"a": {}})));
        for (one, two) in [
            (json!({"a": "1"}), json!({"a": 1})),
            (json!({"a": ["bc", ""]}), json!({"a": ["b", "c"]})),
            (json!({"a": []}), json!({"a": {}})),
            (json!({"a": false}), json!({"a": true})),
            (json!({"a": [[1], 2]}), json!({"a": [[1, 2]]})),
            (json!({"a": {"x": 1}}), json!({"a": {"y": 1}})),
        ] {
            assert_eq!(of(&one).differs(&of(&two)).as_deref(), Some("a"), "{one} {two}");
        }
    }

    #[test]
    fn names_are_not_readable_and_leave_no_common_trace() {
        let request = json!({"fencer": "Aurelie Quill"});
        let text = of(&request).to_text();
        assert!(!text.contains("Quill"));
        assert_ne!(text, FieldDigests::of(&request, &[8; 16]).to_text());
        let both = of(&json!({"a": "x", "b": "x"})).0;
        assert_ne!(both[0].1, both[1].1, "the field's name is salt as well");
    }

    #[test]
    fn bad_texts_are_refused() {
        for text in ["", "[]", "{", r#"{"a":1}"#, r#"{"a":"12"}"#, r#"{"a":"zzzzzzzzzzzzzzzz"}"#] {
            assert!(FieldDigests::parse(text).is_err(), "{text}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn text_reads_back(fields in proptest::collection::btree_map(".{0,12}", ".{0,12}", 0..6)) {
            let digests = of(&serde_json::to_value(&fields).unwrap());
            prop_assert_eq!(FieldDigests::parse(&digests.to_text()).unwrap(), digests);
        }
    }
}
