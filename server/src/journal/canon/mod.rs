//! One form of bytes for a value that serde can write, whatever order its fields come in: what a digest is taken of.
//!
//! A value is a letter and what it holds: `n` null · `t`, `f` booleans · `#` a number as text · `s` a text · `a` a
//! list: how many, then each · `o` an object: how many fields, then name and value of each, by name. Texts have their
//! length before them, lengths and counts are u64, big-endian. A field that is null counts as absent.

use std::borrow::Cow;
use std::fmt::Display;
use std::io::Write as _;
use std::ops::Range;

use serde::ser::{self, Serialize};
use thiserror::Error;

#[cfg(test)]
mod tests;

/// A value that cannot be written, in the words of its type.
#[derive(Debug, Error)]
#[error("{0}")]
pub(super) struct Unwritable(String);

impl ser::Error for Unwritable {
    fn custom<T: Display>(why: T) -> Self {
        Self(why.to_string())
    }
}

/// Fields that most requests and their parts have at most.
const FIELDS: usize = 12;

type Done = Result<(), Unwritable>;

/// A field in the bytes: its name, and where name and value stand.
#[derive(Clone, Debug)]
pub(super) struct Field {
    pub name: Cow<'static, str>,
    pub at: Range<usize>,
}

/// A value as bytes.
#[derive(Debug, Default)]
pub(super) struct Canon {
    pub bytes: Vec<u8>,
    /// The outermost object's fields, by name; `None` when the value is no object.
    pub fields: Option<Vec<Field>>,
}

impl Canon {
    /// Writes a value.
    pub fn of(value: &impl Serialize) -> Result<Self, Unwritable> {
        let mut canon = Self { bytes: Vec::with_capacity(768), fields: None };
        value.serialize(&mut canon)?;
        Ok(canon)
    }

    pub fn text(&mut self, text: &str) {
        self.bytes.extend((text.len() as u64).to_be_bytes());
        self.bytes.extend(text.as_bytes());
    }

    fn number(&mut self, number: impl Display) -> Done {
        self.bytes.push(b'#');
        let start = self.bytes.len();
        self.bytes.extend([0; 8]);
        write!(self.bytes, "{number}").map_err(ser::Error::custom)?;
        let length = (self.bytes.len() - start - 8) as u64;
        self.bytes[start..start + 8].copy_from_slice(&length.to_be_bytes());
        Ok(())
    }

    fn list(&mut self) -> List<'_> {
        self.bytes.push(b'a');
        let count_at = self.bytes.len();
        self.bytes.extend([0; 8]);
        List { canon: self, count_at, count: 0, within: None }
    }

    fn object(&mut self) -> Object<'_> {
        self.bytes.push(b'o');
        let count_at = self.bytes.len();
        self.bytes.extend([0; 8]);
        Object { canon: self, count_at, fields: Vec::with_capacity(FIELDS), key: None, within: None }
    }

    fn count(&mut self, at: usize, count: usize) {
        self.bytes[at..at + 8].copy_from_slice(&(count as u64).to_be_bytes());
    }
}

/// An object with one field that is still being written: a variant of an enum around what it holds.
#[derive(Clone, Copy)]
struct Within {
    count_at: usize,
}

impl Within {
    fn begin(canon: &mut Canon, variant: &str) -> Self {
        canon.bytes.push(b'o');
        let count_at = canon.bytes.len();
        canon.bytes.extend([0; 8]);
        canon.text(variant);
        Self { count_at }
    }

    /// What it holds is null, and so counts as absent.
    fn end_empty(self, canon: &mut Canon) {
        canon.bytes.truncate(self.count_at + 8);
        if self.count_at == 1 {
            canon.fields = Some(Vec::new());
        }
    }

    fn end(self, canon: &mut Canon, variant: &'static str) {
        canon.count(self.count_at, 1);
        if self.count_at == 1 {
            let at = 9..canon.bytes.len();
            canon.fields = Some(vec![Field { name: variant.into(), at }]);
        }
    }
}

/// A list in the making.
pub(super) struct List<'c> {
    canon: &'c mut Canon,
    count_at: usize,
    count: usize,
    within: Option<(Within, &'static str)>,
}

impl List<'_> {
    fn item(&mut self, value: &(impl Serialize + ?Sized)) -> Done {
        self.count += 1;
        value.serialize(&mut *self.canon)
    }

    fn done(self) {
        self.canon.count(self.count_at, self.count);
        if let Some((within, variant)) = self.within {
            within.end(self.canon, variant);
        }
    }
}

/// An object in the making.
pub(super) struct Object<'c> {
    canon: &'c mut Canon,
    count_at: usize,
    fields: Vec<Field>,
    key: Option<String>,
    within: Option<(Within, &'static str)>,
}

impl Object<'_> {
    fn field(&mut self, name: Cow<'static, str>, value: &(impl Serialize + ?Sized)) -> Done {
        let start = self.canon.bytes.len();
        self.canon.text(&name);
        let value_at = self.canon.bytes.len();
        value.serialize(&mut *self.canon)?;
        if self.canon.bytes[value_at..] == *b"n" {
            self.canon.bytes.truncate(start);
        } else {
            self.fields.push(Field { name, at: start..self.canon.bytes.len() });
        }
        Ok(())
    }

    fn done(mut self) {
        self.canon.count(self.count_at, self.fields.len());
        if !self.fields.is_sorted_by(|one, two| one.name < two.name) {
            self.sort();
        }
        if self.count_at == 1 {
            self.canon.fields = Some(self.fields);
        }
        if let Some((within, variant)) = self.within {
            within.end(self.canon, variant);
        }
    }

    /// Puts the fields' bytes into the order of their names.
    fn sort(&mut self) {
        let start = self.count_at + 8;
        let unsorted = self.canon.bytes.split_off(start);
        self.fields.sort_by(|one, two| one.name.cmp(&two.name));
        for field in &mut self.fields {
            let now = self.canon.bytes.len();
            self.canon.bytes.extend(&unsorted[field.at.start - start..field.at.end - start]);
            field.at = now..self.canon.bytes.len();
        }
    }
}

macro_rules! numbers {
    ($($name:ident $type:ty),*) => {
        $(fn $name(self, number: $type) -> Done { self.number(number) })*
    };
}

impl<'c> ser::Serializer for &'c mut Canon {
    type Ok = ();
    type Error = Unwritable;
    type SerializeSeq = List<'c>;
    type SerializeTuple = List<'c>;
    type SerializeTupleStruct = List<'c>;
    type SerializeTupleVariant = List<'c>;
    type SerializeMap = Object<'c>;
    type SerializeStruct = Object<'c>;
    type SerializeStructVariant = Object<'c>;

    numbers! {
        serialize_i8 i8, serialize_i16 i16, serialize_i32 i32, serialize_i64 i64,
        serialize_u8 u8, serialize_u16 u16, serialize_u32 u32, serialize_u64 u64,
        serialize_f32 f32, serialize_f64 f64
    }

    fn serialize_bool(self, yes: bool) -> Done {
        self.bytes.push(if yes { b't' } else { b'f' });
        Ok(())
    }

    fn serialize_char(self, c: char) -> Done {
        self.serialize_str(c.encode_utf8(&mut [0; 4]))
    }

    fn serialize_str(self, text: &str) -> Done {
        self.bytes.push(b's');
        self.text(text);
        Ok(())
    }

    fn serialize_bytes(self, bytes: &[u8]) -> Done {
        self.collect_seq(bytes)
    }

    fn serialize_none(self) -> Done {
        self.bytes.push(b'n');
        Ok(())
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Done {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Done {
        self.bytes.push(b'n');
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Done {
        self.bytes.push(b'n');
        Ok(())
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Done {
        self.serialize_str(variant)
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Done {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Done {
        let within = Within::begin(self, variant);
        let value_at = self.bytes.len();
        value.serialize(&mut *self)?;
        if self.bytes[value_at..] == *b"n" {
            within.end_empty(self);
        } else {
            within.end(self, variant);
        }
        Ok(())
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<List<'c>, Unwritable> {
        Ok(self.list())
    }

    fn serialize_tuple(self, _: usize) -> Result<List<'c>, Unwritable> {
        Ok(self.list())
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<List<'c>, Unwritable> {
        Ok(self.list())
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<List<'c>, Unwritable> {
        let within = Within::begin(self, variant);
        Ok(List { within: Some((within, variant)), ..self.list() })
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Object<'c>, Unwritable> {
        Ok(self.object())
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Object<'c>, Unwritable> {
        Ok(self.object())
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Object<'c>, Unwritable> {
        let within = Within::begin(self, variant);
        Ok(Object { within: Some((within, variant)), ..self.object() })
    }
}

macro_rules! lists {
    ($($trait:ident $method:ident),*) => {
        $(impl ser::$trait for List<'_> {
            type Ok = ();
            type Error = Unwritable;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Done {
                self.item(value)
            }

            fn end(self) -> Done {
                self.done();
                Ok(())
            }
        })*
    };
}

lists! {
    SerializeSeq serialize_element, SerializeTuple serialize_element,
    SerializeTupleStruct serialize_field, SerializeTupleVariant serialize_field
}

macro_rules! objects {
    ($($trait:ident),*) => {
        $(impl ser::$trait for Object<'_> {
            type Ok = ();
            type Error = Unwritable;

            fn serialize_field<T: Serialize + ?Sized>(&mut self, name: &'static str, value: &T) -> Done {
                self.field(name.into(), value)
            }

            fn end(self) -> Done {
                self.done();
                Ok(())
            }
        })*
    };
}

objects! { SerializeStruct, SerializeStructVariant }

impl ser::SerializeMap for Object<'_> {
    type Ok = ();
    type Error = Unwritable;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Done {
        // A key is a text or a number: a letter, a length, and its text.
        let key = Canon::of(&key)?;
        let text = match key.bytes.as_slice() {
            [b's' | b'#', rest @ ..] => rest.get(8..).and_then(|text| std::str::from_utf8(text).ok()),
            _ => None,
        };
        self.key =
            Some(text.ok_or_else(|| ser::Error::custom("a key must be a text or a number"))?.to_owned());
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Done {
        let key = self.key.take().ok_or_else(|| ser::Error::custom("a value needs a key"))?;
        self.field(key.into(), value)
    }

    fn end(self) -> Done {
        self.done();
        Ok(())
    }
}
