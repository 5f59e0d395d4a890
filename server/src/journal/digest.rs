//! Comparing a repeated request with the first one without keeping what it said.
//!
//! For each top-level field of the request a digest of eight bytes is kept, salted with the request's number,
//! so that names do not stay readable and the same name in two requests leaves no common trace.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use sha2::{Digest, Sha256};

use super::rows::RequestId;

/// Name under which a request that is no JSON object is compared as a whole.
const WHOLE: &str = "(request)";

/// One digest for each top-level field of a request.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FieldDigests(BTreeMap<String, u64>);

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
    pub fn of(request: &Value, request_id: &RequestId) -> Self {
        let Value::Object(fields) = request else {
            return Self(BTreeMap::from([(WHOLE.to_owned(), digest(request, WHOLE, request_id))]));
        };
        let present = fields.iter().filter(|(_, value)| !value.is_null());
        Self(present.map(|(name, value)| (name.clone(), digest(value, name, request_id))).collect())
    }

    /// As a JSON object of field names and digests in hexadecimal, for [`AnswerRow::fields`](super::AnswerRow).
    pub fn to_text(&self) -> String {
        let fields = self.0.iter().map(|(name, digest)| (name.clone(), format!("{digest:016x}").into()));
        Value::Object(fields.collect()).to_string()
    }

    /// Reads what [`to_text`](Self::to_text) wrote.
    ///
    /// # Errors
    /// [`DigestError`] when the text is anything else.
    pub fn parse(text: &str) -> Result<Self, DigestError> {
        let fields: BTreeMap<String, String> =
            serde_json::from_str(text).map_err(|error| DigestError(error.to_string()))?;
        let read = |(name, hex): (String, String)| match u64::from_str_radix(&hex, 16) {
            Ok(digest) if hex.len() == 16 => Ok((name, digest)),
            _ => Err(DigestError(format!("field {name} has no digest of 16 hexadecimal digits"))),
        };
        fields.into_iter().map(read).collect::<Result<_, _>>().map(Self)
    }

    /// Name of the first field, in alphabetical order, that is not the same in both; `None` when all are.
    pub fn differs(&self, other: &Self) -> Option<String> {
        let names: BTreeSet<&String> = self.0.keys().chain(other.0.keys()).collect();
        names.into_iter().find(|name| self.0.get(*name) != other.0.get(*name)).cloned()
    }
}

fn digest(value: &Value, name: &str, request_id: &RequestId) -> u64 {
    let mut sha = Sha256::new();
    sha.update(request_id);
    feed_text(&mut sha, name);
    feed(&mut sha, value);
    let whole: [u8; 32] = sha.finalize().into();
    u64::from_be_bytes(std::array::from_fn(|i| whole[i]))
}

/// Feeds a value in one form only, whatever order its fields came in.
fn feed(sha: &mut Sha256, value: &Value) {
    match value {
        Value::Null => sha.update(b"n"),
        Value::Bool(yes) => sha.update(if *yes { b"t" } else { b"f" }),
        Value::Number(number) => {
            sha.update(b"#");
            feed_text(sha, &number.to_string());
        }
        Value::String(text) => {
            sha.update(b"s");
            feed_text(sha, text);
        }
        Value::Array(values) => {
            sha.update(b"a");
            sha.update((values.len() as u64).to_be_bytes());
            for value in values {
                feed(sha, value);
            }
        }
        Value::Object(fields) => {
            let fields: BTreeMap<_, _> = fields.iter().filter(|(_, value)| !value.is_null()).collect();
            sha.update(b"o");
            sha.update((fields.len() as u64).to_be_bytes());
            for (name, value) in fields {
                feed_text(sha, name);
                feed(sha, value);
            }
        }
    }
}

fn feed_text(sha: &mut Sha256, text: &str) {
    sha.update((text.len() as u64).to_be_bytes());
    sha.update(text);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use proptest::prelude::*;
    use serde_json::json;

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
        assert_ne!(
            of(&json!({"a": "x", "b": "x"})).0.get("a"),
            of(&json!({"a": "x", "b": "x"})).0.get("b"),
            "the field's name is salt as well"
        );
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
