//! The firm's file: its keys, each declared once, and looking up names and signing keys in it.

use super::file_name::Pattern;
use super::prices::Prices;
use crate::lookalike::folded;
use crate::quantity::{Temperature, plausible};
use crate::quoted::shorten;
use crate::record::accepted::Accepted;
use crate::seal::Fingerprint;
use crate::visit::entry::{
    Date, Entry, Keys, Line, Lines, NAME, Reference, Within, choice, keys, map, maps, whole,
};
use crate::visit::key_table::Form;
use crate::visit::reader::{Fields, Reader};
use crate::visit::written::Style;
use crate::visit::{self, Diagnostics, Instrument, Instruments, Paper, Units, limits};
use crate::yaml::{self, Ix};
use chrono::NaiveDate;

/// How the YAML reader reads the firm's file.
const FORM: yaml::Form = yaml::Form {
    name: "firm file",
    about: "firm",
    bytes: limits::FILE_BYTES,
    too_large: "list only technicians and instruments in it",
    nesting: limits::NESTING,
    usual_nesting: "four",
    values: limits::VALUES,
    aliases: limits::ALIASES,
    empty: "begin with `firm: { name: YOUR FIRM }`",
};

keys! {
    /// A firm's file.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Firm, "the firm file", Firm::fit {
        /// The firm as its certificates name it
        must letterhead as "firm": Letterhead = map(), "{ name: Voss Electric }";
        /// Who inspects and signs
        else_default technicians: Vec<Technician> = maps("technician"), "[{ name: Dana Voss, licence: EL-20417 }]";
        /// Shared instruments, each under an id that visits use
        else_default instruments: Vec<Instrument> = Instruments, "{ gun-2: { kind: infrared-thermometer, serial: A1 } }";
        /// Calibrations of the instruments; a visit gets the last one before its date
        else_default calibrations: Vec<Calibration> = maps("calibration"), "[{ instrument: gun-2, on: 2026-02-10 }]";
        /// What a new visit begins with
        may defaults: Defaults = map(), "{ rules: us, language: en }";
        /// Hottest air by site or postcode
        else_default hottest_air: Vec<LocalAir> = maps("place with its hottest air"), "[{ postcode: \"97301\", air: 104 °F }]";
        /// Certificate numbers of each device, so that two devices without a network never use the same one
        else_default numbers: Vec<NumberRange> = maps("range of numbers"), "[{ device: van-1, first: 1, last: 499 }]";
        /// Times and prices of repairs, for `warmlug order`
        may prices: Prices = map(), "{ currency: USD, hour: 95.00 }";
        /// Folder with the firm's certificates, searched for the latest one of a site; default the folder of this file
        may certificates: String = Line::<{ limits::PATH }>, "certificates";
        /// Names of certificates below that folder, where `certify` files them then
        ///
        /// A path with {site}, {date}, {year}, {number}, {client}, {circuit}, {outcome}, {reason},
        /// {inspector} and {firm} in it.
        may certificate_names: Pattern = Names, "\"{site}/{date} {number}.pdf\"";
    }

    /// The firm as its certificates name it.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Letterhead, "the firm" {
        /// Name of the firm
        must name: String = NAME, "Voss Electric";
        /// Postal address
        may address: String = Lines::<{ limits::NOTE }>, "4 Example Road, Sampleton";
        /// Telephone
        may phone: String = NAME, "555 0100";
        /// E-mail address
        may email: String = NAME, "office@example.com";
    }

    /// Someone who inspects and signs.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Technician, "a technician" {
        /// Name as it is printed and signed
        must name: String = NAME, "Dana Voss";
        /// Licence number
        may licence: String = NAME, "EL-20417";
        /// Telephone, if not the firm's
        may phone: String = NAME, "555 0101";
        /// E-mail address, if not the firm's
        may email: String = NAME, "dana@example.com";
        /// Keys that sign for this person; `warmlug identity show` prints their fingerprints
        else_default keys: Vec<SigningKey> = maps("key"), "[{ fingerprint: \"…\", from: 2026-01-05 }]";
    }

    /// A key that signs for a technician.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct SigningKey, "a key", SigningKey::fit {
        /// Fingerprint as `warmlug identity show` prints it
        must fingerprint: Fingerprint = Print, "\"…\"";
        /// First day on which it signs
        may from: NaiveDate = Date, "2026-01-05";
        /// Day from which nothing that it seals is valid
        may revoked: NaiveDate = Date, "2026-09-01";
        /// Why it was revoked
        may because: String = NAME, "phone lost";
    }

    /// A calibration of an instrument.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct Calibration, "a calibration" {
        /// The instrument, by its id
        must instrument: String = Reference("an instrument"), "gun-2";
        /// Day on which it was calibrated
        must on: NaiveDate = Date, "2026-02-10";
        /// Last day on which the calibration is good
        may due: NaiveDate = Date, "2027-02-10";
        /// Number of its certificate
        may certificate: String = NAME, "C-1182";
    }

    /// What a new visit begins with.
    #[derive(Debug, Clone, PartialEq)]
    pub struct Defaults, "the defaults" {
        /// Rule set: `us`, `iec`, or the path of a rules file, from the folder of this file
        may rules: String = Line::<{ limits::PATH }>, "us";
        /// Language of certificates
        may language: String = Tongue, "en";
        /// Units of certificates
        may units: Units = choice("a system of units"), "us";
        /// Paper of certificates
        may paper: Paper = choice("a paper size"), "letter";
        /// Hottest air where nothing nearer is known
        may hottest_air: Temperature = Within(&plausible::HOTTEST_AIR), "104 °F";
    }

    /// The hottest air of a site or of a postcode.
    #[derive(Debug, Clone, PartialEq)]
    pub struct LocalAir, "the air of a place", LocalAir::fit {
        /// Postcode, as it is in the site's address
        may postcode: String = Line::<16>, "\"97301\"";
        /// Name of the site
        may site: String = NAME, "12 Sample Street";
        /// Its hottest air
        must air: Temperature = Within(&plausible::HOTTEST_AIR), "104 °F";
    }

    /// The numbers of one device.
    #[derive(Debug, Clone, PartialEq, Eq)]
    pub struct NumberRange, "a range of numbers", NumberRange::fit {
        /// Name of the computer or phone
        must device: String = Line::<40>, "van-1";
        /// First number of each year
        must first: u16 = whole::<_, 1, 9999>("the first number"), "1";
        /// Last number of each year
        must last: u16 = whole::<_, 1, 9999>("the last number"), "499";
    }
}

/// A fingerprint.
struct Print;

impl Entry for Print {
    type Value = Fingerprint;
    const FORM: Form = Form::Line(95);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Fingerprint> {
        let text = r.scalar(ix, "a fingerprint")?;
        let print = Fingerprint::parse(text);
        if print.is_none() {
            r.problem(
                r.mark(ix),
                format!("`{}` is not a fingerprint", shorten(text)),
                "write, in quotes, the 64 hexadecimal digits that `warmlug identity show` prints",
            );
        }
        print
    }
    fn write(&self, value: &Fingerprint, _: Style) -> String {
        format!("\"{value}\"")
    }
}

/// A pattern for names of certificates.
struct Names;

impl Entry for Names {
    type Value = Pattern;
    const FORM: Form = Form::Line(240);
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<Pattern> {
        let text = r.scalar(ix, "a pattern for the names of certificates")?;
        match Pattern::parse(text) {
            Ok(pattern) => Some(pattern),
            Err(why) => {
                let help = "for example \"{site}/{date} {number}.pdf\", in quotes";
                r.problem(r.mark(ix), why.to_string(), help);
                None
            }
        }
    }
    fn write(&self, value: &Pattern, _: Style) -> String {
        crate::visit::write_text(value.source())
    }
}

/// A language of certificates.
struct Tongue;

impl Entry for Tongue {
    type Value = String;
    const FORM: Form = Form::Language;
    fn read(&self, r: &mut Reader<'_, '_>, ix: Ix) -> Option<String> {
        r.language(ix)
    }
    fn write(&self, value: &String, _: Style) -> String {
        value.clone()
    }
}

/// The state of a key on a day, according to the firm's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// It signs for its owner.
    Valid,
    /// Not before this day.
    NotYet(NaiveDate),
    /// Revoked since this day, with the reason if one is given.
    Revoked(NaiveDate, Option<String>),
}

impl SigningKey {
    /// Whether the key signs on a day.
    pub fn state(&self, day: NaiveDate) -> State {
        match (self.from, self.revoked) {
            (_, Some(revoked)) if day >= revoked => State::Revoked(revoked, self.because.clone()),
            (Some(from), _) if day < from => State::NotYet(from),
            _ => State::Valid,
        }
    }

    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if let (Some(from), Some(revoked), Some(v)) = (self.from, self.revoked, f.get("revoked"))
            && revoked < from
        {
            let at = r.mark(v);
            r.problem(
                at,
                format!("revoked on {revoked}, before the key was valid ({from})"),
                "correct one of the two dates",
            );
        }
    }
}

impl NumberRange {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if self.last < self.first
            && let Some(v) = f.get("last")
        {
            let at = r.mark(v);
            r.problem(
                at,
                format!(
                    "the last number {} is before the first, {}",
                    self.last, self.first
                ),
                "write the smaller one at `first`",
            );
        }
    }
}

impl LocalAir {
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        if self.postcode.is_none()
            && self.site.is_none()
            && let Some(v) = f.get("air")
        {
            let at = r.mark(v);
            r.problem(
                at,
                "this air belongs to no place",
                "add `postcode:` or `site:`; air for all sites goes into `defaults`",
            );
        }
    }
}

impl Firm {
    /// Reads a firm's file; `name` is its name in messages.
    ///
    /// # Errors
    /// All its problems, in source order.
    pub fn read(source: &str, name: &str) -> Result<Self, Diagnostics> {
        visit::read_keys(source, name, &FORM, &Accepted)
    }

    /// The JSON Schema of the file, draft 2020-12.
    pub fn schema() -> serde_json::Value {
        visit::schema_of(
            <Self as Keys>::TABLE,
            "Firm behind inspection visits",
            "Technicians with their keys, shared instruments, defaults and ranges of numbers",
        )
    }

    /// The technician of this name.
    pub fn technician(&self, name: &str) -> Option<&Technician> {
        self.technicians.iter().find(|t| t.name == name)
    }

    /// The key with this fingerprint, and whose it is.
    pub fn key(&self, print: &Fingerprint) -> Option<(&Technician, &SigningKey)> {
        let all = self.technicians.iter();
        let mut keys = all.flat_map(|t| t.keys.iter().map(move |k| (t, k)));
        keys.find(|(_, k)| k.fingerprint == *print)
    }

    /// An instrument as it was on a day: with the last calibration made until then.
    pub fn instrument(&self, id: &str, day: NaiveDate) -> Option<Instrument> {
        let mut found = self.instruments.iter().find(|i| i.id == id)?.clone();
        let own = found.calibrated.filter(|on| *on <= day);
        let last = self
            .calibrations
            .iter()
            .filter(|c| c.instrument == id && c.on <= day)
            .max_by_key(|c| c.on);
        match last {
            Some(last) if own.is_none_or(|own| last.on >= own) => {
                found.calibrated = Some(last.on);
                found.calibration_due = last.due;
                found.certificate.clone_from(&last.certificate);
            }
            // Calibrated only later: those details do not apply on this day.
            None if found.calibrated.is_some() && own.is_none() => {
                found.calibrated = None;
                found.calibration_due = None;
                found.certificate = None;
            }
            _ => {}
        }
        Some(found)
    }

    /// The hottest air of a site: by its name, else by a postcode in its address or name, else the
    /// default.
    pub fn hottest_air(&self, site: &str, address: Option<&str>) -> Option<Temperature> {
        let name = folded(site);
        let by_name = self
            .hottest_air
            .iter()
            .find(|a| a.site.as_ref().is_some_and(|s| folded(s) == name));
        let words = || {
            let all = address.into_iter().chain([site]);
            all.flat_map(|text| text.split(|c: char| !c.is_alphanumeric()))
        };
        let by_code = || {
            self.hottest_air.iter().find(|a| {
                let code = a.postcode.as_deref();
                code.is_some_and(|code| words().any(|word| word == code))
            })
        };
        match by_name.or_else(by_code) {
            Some(found) => Some(found.air),
            None => self.defaults.as_ref()?.hottest_air,
        }
    }

    /// The numbers of a device.
    pub fn range(&self, device: &str) -> Option<&NumberRange> {
        self.numbers.iter().find(|n| n.device == device)
    }

    /// Reports ambiguous names and numbers.
    fn fit(&self, r: &mut Reader<'_, '_>, f: &Fields) {
        for (n, one) in self.technicians.iter().enumerate() {
            if self.technicians[..n].iter().any(|t| t.name == one.name)
                && let Some(v) = f.get("technicians")
            {
                let at = r.mark(v);
                r.problem(
                    at,
                    format!("{} is listed twice", shorten(&one.name)),
                    "list each person once, with all their keys",
                );
            }
        }
        let mut prints: Vec<_> = self.technicians.iter().flat_map(|t| &t.keys).collect();
        prints.sort_by_key(|k| k.fingerprint);
        if prints
            .windows(2)
            .any(|two| two[0].fingerprint == two[1].fingerprint)
            && let Some(v) = f.get("technicians")
        {
            let at = r.mark(v);
            r.problem(
                at,
                "one fingerprint is listed twice",
                "a key signs for one person; delete one of the two",
            );
        }
        for calibration in &self.calibrations {
            if !self
                .instruments
                .iter()
                .any(|i| i.id == calibration.instrument)
                && let Some(v) = f.get("calibrations")
            {
                let at = r.mark(v);
                let ids = self.instruments.iter().map(|i| i.id.as_str());
                r.unknown_name(at, "instrument", &calibration.instrument, ids);
            }
        }
        for (n, one) in self.numbers.iter().enumerate() {
            let Some(v) = f.get("numbers") else { break };
            let at = r.mark(v);
            for other in &self.numbers[..n] {
                if other.device == one.device {
                    r.problem(
                        at,
                        format!("the device `{}` has two ranges", shorten(&one.device)),
                        "give each device one range",
                    );
                } else if one.first <= other.last && other.first <= one.last {
                    r.problem(
                        at,
                        format!(
                            "the numbers of `{}` and `{}` overlap, so both could give the same one",
                            shorten(&other.device),
                            shorten(&one.device)
                        ),
                        "write ranges that have no number in common",
                    );
                }
            }
        }
    }
}
