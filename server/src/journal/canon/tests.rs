//! The bytes held against their description and against what `serde_json` makes of the same types.

#![allow(clippy::unwrap_used)]
use serde::Serialize;
use serde_json::json;

use super::*;

#[derive(Serialize)]
enum Kind {
    Plain,
    One(u8),
    Maybe(Option<u8>),
    Two(u8, bool),
    Named { b: Option<u8>, a: &'static str },
}

#[derive(Serialize)]
struct Thing {
    z: Vec<Kind>,
    a: Option<(i64, char)>,
    none: Option<u8>,
}

/// Held against `serde_json`, which writes the same types by its own code: both ways give the same bytes.
#[test]
fn types_and_their_json_give_the_same_bytes() {
    let named = |b| Kind::Named { b, a: "x" };
    let kinds = || {
        vec![
            Kind::Plain,
            Kind::One(7),
            Kind::Maybe(None),
            Kind::Maybe(Some(3)),
            Kind::Two(1, true),
            named(None),
            named(Some(2)),
        ]
    };
    let thing = Thing { z: kinds(), a: Some((-5, 'é')), none: None };
    let direct = Canon::of(&thing).unwrap();
    let by_json = Canon::of(&serde_json::to_value(&thing).unwrap()).unwrap();
    assert_eq!(direct.bytes, by_json.bytes);
    let names: Vec<_> = direct.fields.unwrap().into_iter().map(|field| field.name).collect();
    assert_eq!(names, ["a", "z"]);
    for kind in kinds() {
        let by_json = Canon::of(&serde_json::to_value(&kind).unwrap()).unwrap();
        let direct = Canon::of(&kind).unwrap();
        assert_eq!(direct.bytes, by_json.bytes);
        let places =
            |canon: Canon| canon.fields.map(|all| all.into_iter().map(|one| one.at).collect::<Vec<_>>());
        assert_eq!(places(direct), places(by_json));
    }
}

#[test]
fn the_bytes_are_as_described() {
    let canon = Canon::of(&json!({"b": [true, null, 12], "a": "x"})).unwrap();
    let mut bytes = b"o\0\0\0\0\0\0\0\x02".to_vec();
    bytes.extend(b"\0\0\0\0\0\0\0\x01as\0\0\0\0\0\0\0\x01x");
    bytes.extend(b"\0\0\0\0\0\0\0\x01ba\0\0\0\0\0\0\0\x03tn#\0\0\0\0\0\0\0\x0212");
    assert_eq!(canon.bytes, bytes);
}

#[test]
fn keys_that_are_numbers_are_texts_as_in_json() {
    let map = std::collections::BTreeMap::from([(10_u8, 1_u8), (9, 2)]);
    let by_json = Canon::of(&serde_json::to_value(&map).unwrap()).unwrap();
    assert_eq!(Canon::of(&map).unwrap().bytes, by_json.bytes);
    let map = std::collections::BTreeMap::from([(vec![1_u8], 1_u8)]);
    assert!(Canon::of(&map).is_err());
}
