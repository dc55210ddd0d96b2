//! Keys of the visit file, each declared once: name, kind of value, an example, and its meaning.
//! From such a declaration, the macro [`keys`] generates the struct, the [`Table`] for messages and
//! schema, the reader and the writer.

use super::key_table::{Form, Table};
use super::limits;
use super::reader::{Fields, Ids, Need, Reader};
use super::words::{self, Word};
use super::written::{Flow, Style, Written, flow_list, text, time, yes};
use crate::quantity::plausible::Range;
use crate::quantity::{ConductorSize, Kind, Quantity, Temperature, TimeOfDay, Unit};
use crate::yaml::{Ix, Span};
use chrono::NaiveDate;
use std::marker::PhantomData;

/// A kind of value: how it is read and written.
pub(crate) trait Entry {
    /// Its type in the model.
    type Value;

    /// For the schema.
    const FORM: Form;

    /// Reads the value; `None` after a problem was reported.
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Self::Value>;

    /// The value as written after its key, on one line.
    fn write(&self, value: &Self::Value, style: Style) -> String;

    /// Adds key and value to the entries of a map.
    fn put(&self, key: &'static str, value: &Self::Value, style: Style, flow: &mut Flow) {
        flow.put(key, self.write(value, style));
    }
}

/// A map with declared keys.
pub(crate) trait Keys: Sized {
    /// The keys, in the order in which they are written.
    const TABLE: &'static Table;

    /// Reads the map from its entries; `None` after a problem was reported.
    fn read(r: &mut Reader<'_, '_>, fields: &Fields) -> Option<Self>;

    /// Reports values that contradict each other.
    fn check(&self, r: &mut Reader<'_, '_>, fields: &Fields);

    /// The entries to write.
    fn entries(&self, style: Style) -> Flow;
}

/// The form of an entry with values of one type, for tables.
pub(crate) const fn form<T, E: Entry<Value = T>>(_: &E) -> Form {
    E::FORM
}

/// Declares maps:
///
/// ```text
/// keys! {
///     /// A run of conductors.
///     pub struct Conductors, "the conductors" {
///         /// Size of each line conductor
///         must size: ConductorSize = Size, "6 AWG";
///     }
/// }
/// ```
///
/// Messages and the schema quote the first line of a key's documentation, so it has no full stop.
/// `must` declares a required key, `may` an optional one (the field is an `Option`), and
/// `else_default` one that has the type's default value if it is absent. An optional function after
/// the name of the map compares its values with each other.
macro_rules! keys {
    ($(
        $(#[$meta:meta])*
        pub struct $name:ident, $what:literal $(, $check:path)? {$(
            #[doc = $about:literal]
            $(#[doc = $more:literal])*
            $need:ident $key:ident $(as $written:literal)?: $type:ty = $entry:expr, $example:literal;
        )*}
    )*) => {$(
        $(#[$meta])*
        pub struct $name {$(
            #[doc = $about]
            $(#[doc = $more])*
            pub $key: $crate::visit::entry::field!($need $type),
        )*}

        impl $crate::visit::entry::Keys for $name {
            const TABLE: &'static $crate::visit::key_table::Table = &$crate::visit::key_table::Table {
                what: $what,
                keys: &[$($crate::visit::key_table::Key {
                    name: $crate::visit::entry::name!($key $($written)?),
                    required: $crate::visit::entry::required!($need),
                    form: $crate::visit::entry::form::<$type, _>(&$entry),
                    example: $example,
                    about: $about.trim_ascii(),
                }),*],
            };

            fn read(
                r: &mut $crate::visit::reader::Reader<'_, '_>,
                fields: &$crate::visit::reader::Fields,
            ) -> Option<Self> {
                use $crate::visit::entry::Entry;
                $(let $key: Option<$type> = fields
                    .get($crate::visit::entry::name!($key $($written)?))
                    .and_then(|ix| $entry.read(r, ix));)*
                Some(Self { $($key: $crate::visit::entry::value!($need $key)),* })
            }

            fn check(
                &self,
                _r: &mut $crate::visit::reader::Reader<'_, '_>,
                _fields: &$crate::visit::reader::Fields,
            ) {
                $($check(self, _r, _fields);)?
            }

            fn entries(&self, style: $crate::visit::written::Style) -> $crate::visit::written::Flow {
                use $crate::visit::entry::Entry;
                let mut flow = $crate::visit::written::Flow::default();
                $(if let Some(value) = $crate::visit::entry::shown!($need self.$key) {
                    $entry.put(
                        $crate::visit::entry::name!($key $($written)?),
                        value,
                        style,
                        &mut flow,
                    );
                })*
                flow
            }
        }
    )*};
}
pub(crate) use keys;

/// The name of a key in the file: that of its field unless another is given.
macro_rules! name {
    ($key:ident) => {
        stringify!($key)
    };
    ($key:ident $written:literal) => {
        $written
    };
}
pub(crate) use name;

/// Whether a key is required.
macro_rules! required {
    (must) => {
        true
    };
    ($need:ident) => {
        false
    };
}
pub(crate) use required;

/// The type of the field for a key.
macro_rules! field {
    (may $type:ty) => {
        Option<$type>
    };
    ($need:ident $type:ty) => {
        $type
    };
}
pub(crate) use field;

/// The field's value, from the value that was read.
macro_rules! value {
    (must $read:ident) => {
        $read?
    };
    (may $read:ident) => {
        $read
    };
    (else_default $read:ident) => {
        $read.unwrap_or_default()
    };
}
pub(crate) use value;

/// The part of a field that is written.
macro_rules! shown {
    (must $field:expr) => {
        Some(&$field)
    };
    (may $field:expr) => {
        $field.as_ref()
    };
    (else_default $field:expr) => {
        $crate::visit::entry::unless_default(&$field)
    };
}
pub(crate) use shown;

/// A value that differs from its type's default.
pub(crate) fn unless_default<T: Default + PartialEq>(value: &T) -> Option<&T> {
    (*value != T::default()).then_some(value)
}

/// One line of text with a maximum number of characters.
pub(crate) struct Line<const MOST: usize>;

/// A name, a model, a serial number and the like.
pub(crate) const NAME: Line<{ limits::NAME }> = Line;

impl<const MOST: usize> Entry for Line<MOST> {
    type Value = String;
    const FORM: Form = Form::Line(MOST);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.text(ix, MOST)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
}

/// Text of several lines with a maximum number of characters.
pub(crate) struct Lines<const MOST: usize>;

impl<const MOST: usize> Entry for Lines<MOST> {
    type Value = String;
    const FORM: Form = Form::Text(MOST);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.lines(ix, MOST)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
    fn put(&self, key: &'static str, value: &String, _: Style, flow: &mut Flow) {
        flow.add(key, Written::Lines(value.clone()));
    }
}

/// `yes` or `no`.
pub(crate) struct YesNo;

impl Entry for YesNo {
    type Value = bool;
    const FORM: Form = Form::Word(words::list::<bool>);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<bool> {
        r.flag(ix)
    }
    fn write(&self, value: &bool, _: Style) -> String {
        yes(*value)
    }
}

/// One of the words of a choice, with its name in messages, including the article.
pub(crate) struct Choice<W>(&'static str, PhantomData<W>);

/// [`Choice`] with the given name in messages.
pub(crate) const fn choice<W>(what: &'static str) -> Choice<W> {
    Choice(what, PhantomData)
}

impl<W: Word> Entry for Choice<W> {
    type Value = W;
    const FORM: Form = Form::Word(words::list::<W>);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<W> {
        r.word(ix, self.0)
    }
    fn write(&self, value: &W, _: Style) -> String {
        value.word().to_owned()
    }
}

/// A whole number from `LEAST` to `MOST`, with its name in messages, including the article.
pub(crate) struct Whole<N, const LEAST: u16, const MOST: u16>(&'static str, PhantomData<N>);

/// [`Whole`] with the given name in messages.
pub(crate) const fn whole<N, const LEAST: u16, const MOST: u16>(
    what: &'static str,
) -> Whole<N, LEAST, MOST> {
    Whole(what, PhantomData)
}

impl<N: TryFrom<u16> + ToString, const LEAST: u16, const MOST: u16> Entry
    for Whole<N, LEAST, MOST>
{
    type Value = N;
    const FORM: Form = Form::Whole(LEAST, MOST);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<N> {
        N::try_from(r.whole(ix, self.0, LEAST, MOST)?).ok()
    }
    fn write(&self, value: &N, _: Style) -> String {
        value.to_string()
    }
}

/// A quantity within a plausible range.
pub(crate) struct Within<Q: 'static>(pub &'static Range<Q>);

impl<Q: Quantity> Entry for Within<Q> {
    type Value = Q;
    const FORM: Form = Form::Quantity(Q::KIND);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Q> {
        r.quantity(ix, self.0)
    }
    fn write(&self, value: &Q, style: Style) -> String {
        style.q(*value)
    }
}

/// A quantity always written in one unit, the one marked on devices.
pub(crate) struct In<Q: 'static>(pub Unit, pub &'static Range<Q>);

impl<Q: Quantity> Entry for In<Q> {
    type Value = Q;
    const FORM: Form = Form::Quantity(Q::KIND);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Q> {
        r.quantity(ix, self.1)
    }
    fn write(&self, value: &Q, _: Style) -> String {
        value.exact(self.0)
    }
}

/// A temperature rating.
pub(crate) struct Rating;

impl Entry for Rating {
    type Value = Temperature;
    const FORM: Form = Form::Quantity(Kind::Temperature);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Temperature> {
        r.quantity(ix, &crate::quantity::plausible::RATING)
    }
    fn write(&self, value: &Temperature, style: Style) -> String {
        style.rating(*value)
    }
}

/// A date.
pub(crate) struct Date;

impl Entry for Date {
    type Value = NaiveDate;
    const FORM: Form = Form::Date;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<NaiveDate> {
        r.date(ix)
    }
    fn write(&self, value: &NaiveDate, _: Style) -> String {
        value.to_string()
    }
}

/// A time of day.
pub(crate) struct Time;

impl Entry for Time {
    type Value = TimeOfDay;
    const FORM: Form = Form::Time;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<TimeOfDay> {
        r.time(ix)
    }
    fn write(&self, value: &TimeOfDay, _: Style) -> String {
        time(*value)
    }
}

/// An id that is unique among the ids of its kind.
pub(crate) struct UniqueId(pub Ids);

impl Entry for UniqueId {
    type Value = String;
    const FORM: Form = Form::Id;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.unique(ix, self.0)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
}

/// The id of something defined elsewhere in the file, with its name in messages, including the
/// article. Whether it exists is checked by the circuit's reader, which knows its ids.
pub(crate) struct Reference(pub &'static str);

impl Entry for Reference {
    type Value = String;
    const FORM: Form = Form::Reference;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.scalar(ix, self.0).map(str::to_owned)
    }
    fn write(&self, value: &String, _: Style) -> String {
        text(value)
    }
}

/// A conductor size.
pub(crate) struct Size;

impl Entry for Size {
    type Value = ConductorSize;
    const FORM: Form = Form::Quantity(Kind::ConductorSize);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<ConductorSize> {
        r.size(ix)
    }
    fn write(&self, value: &ConductorSize, _: Style) -> String {
        value.to_string()
    }
}

/// A map with declared keys, on one line.
pub(crate) struct Map<K>(PhantomData<K>);

/// [`Map`] of keys.
pub(crate) const fn map<K>() -> Map<K> {
    Map(PhantomData)
}

impl<K: Keys> Entry for Map<K> {
    type Value = K;
    const FORM: Form = Form::Map(K::TABLE);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<K> {
        read_map(r, ix, None)
    }
    fn write(&self, value: &K, style: Style) -> String {
        value.entries(style).text()
    }
}

/// A list of at least one map with declared keys, with the name of one in messages.
pub(crate) struct Maps<K>(&'static str, PhantomData<K>);

/// [`Maps`] with the given name of one in messages.
pub(crate) const fn maps<K>(what: &'static str) -> Maps<K> {
    Maps(what, PhantomData)
}

impl<K: Keys> Entry for Maps<K> {
    type Value = Vec<K>;
    const FORM: Form = Form::List(&Map::<K>::FORM, limits::CONNECTIONS);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Vec<K>> {
        let items = r.list(ix, self.0, limits::CONNECTIONS, Need::Must)?;
        let read: Vec<_> = items.iter().map(|item| read_map(r, *item, None)).collect();
        read.into_iter().collect()
    }
    fn write(&self, value: &Vec<K>, style: Style) -> String {
        flow_list(value.iter().map(|map| map.entries(style).text()))
    }
    fn put(&self, key: &'static str, value: &Vec<K>, style: Style, flow: &mut Flow) {
        let items = value.iter().map(|map| map.entries(style).text());
        flow.add(key, Written::Items(items.collect()));
    }
}

/// A map with declared keys; missing ones are reported at `blame`.
pub(crate) fn read_map<K: Keys>(r: &mut Reader<'_, '_>, ix: Ix, blame: Option<Span>) -> Option<K> {
    let fields = r.fields(ix, K::TABLE, blame)?;
    let map = K::read(r, &fields)?;
    map.check(r, &fields);
    Some(map)
}
