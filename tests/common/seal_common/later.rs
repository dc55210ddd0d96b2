//! Revisions put behind a file by hand, as others could: with what they like, signed or not.

use super::authority::{Lies, octets, oid, sequence, token, value};
use super::issued::Issued;
use super::key_file;
use p256::ecdsa::signature::Signer;
use p256::ecdsa::{DerSignature, SigningKey};
use p256::pkcs8::DecodePrivateKey;
use sha2::{Digest, Sha256};

/// Hexadecimal digits kept for a signature.
const ROOM: usize = 4096;
const RANGE: &str = "/ByteRange [0 1111111111 2222222222 3333333333]";

fn last(bytes: &[u8], what: &str) -> usize {
    bytes
        .windows(what.len())
        .rposition(|w| w == what.as_bytes())
        .unwrap_or_else(|| panic!("{what} is missing"))
}

/// The number behind the last of these words.
fn number(bytes: &[u8], what: &str) -> u32 {
    let at = last(bytes, what) + what.len();
    let digits: String = bytes[at..]
        .iter()
        .map(|b| char::from(*b))
        .skip_while(|c| c.is_whitespace())
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().unwrap()
}

/// The number of the catalogue.
pub fn root(pdf: &[u8]) -> u32 {
    number(pdf, "/Root")
}

/// The first number that no object has.
pub fn free(pdf: &[u8]) -> u32 {
    number(pdf, "/Size")
}

/// The newest source of an object that is written out.
pub fn source(pdf: &[u8], number: u32) -> String {
    let at = last(pdf, &format!("\n{number} 0 obj")) + format!("\n{number} 0 obj").len();
    let end = at + pdf[at..].windows(6).position(|w| w == b"endobj").unwrap();
    String::from_utf8(pdf[at..end].to_vec())
        .unwrap()
        .trim()
        .to_owned()
}

/// The catalogue with more in it.
pub fn catalog_with(pdf: &[u8], more: &str) -> (u32, Vec<u8>) {
    let catalog = source(pdf, root(pdf));
    let open = catalog.strip_suffix(">>").unwrap();
    (root(pdf), format!("{open}{more}>>").into_bytes())
}

/// A stream object's source.
pub fn stream(more: &str, data: &[u8]) -> Vec<u8> {
    let head = format!("<</Length {}{more}>>\nstream\n", data.len());
    [head.as_bytes(), data, b"\nendstream"].concat()
}

/// A file with a classic table and these objects behind it; `trailer` goes into its trailer.
pub fn append(pdf: &[u8], objects: &[(u32, Vec<u8>)], trailer: &str) -> Vec<u8> {
    let mut out = pdf.to_vec();
    let mut table = String::from("xref\n");
    let mut size = free(pdf);
    for (number, body) in objects {
        table += &format!("{number} 1\n{:010} 00000 n \n", out.len());
        out.extend(format!("{number} 0 obj\n").bytes());
        out.extend(body);
        out.extend(b"\nendobj\n");
        size = size.max(number + 1);
    }
    let start = out.len();
    let before = number(pdf, "startxref");
    let end = format!(
        "{table}trailer\n<</Size {size}/Root {} 0 R/Prev {before}/ID {}{trailer}>>\nstartxref\n{start}\n%%EOF\n",
        root(pdf),
        identifiers(pdf),
    );
    out.extend(end.bytes());
    out
}

fn identifiers(pdf: &[u8]) -> String {
    let at = last(pdf, "/ID") + 3;
    let end = at + pdf[at..].iter().position(|b| *b == b']').unwrap();
    String::from_utf8(pdf[at..=end].to_vec()).unwrap()
}

/// What a signer of the test puts behind a file.
pub struct Hand<'a> {
    /// Further entries of the field.
    pub field: &'a str,
    /// Its name, as PDF source.
    pub name: &'a str,
    /// Entries of the signature's dictionary beside its range and digits.
    pub signature: &'a str,
    /// Further references among the form's fields.
    pub fields: &'a str,
    /// Further entries of the catalogue.
    pub catalog: &'a str,
    /// The field occurs so many times among the page's annotations.
    pub times: usize,
    /// The field names its page and is among its annotations.
    pub on_page: bool,
    /// Further objects, numbered from [`Hand::further`] on.
    pub more: Vec<Vec<u8>>,
    /// The key that signs; one of the tests' own if there is none.
    pub by: Option<&'a Issued>,
    /// The authority that stamps it, if nobody signs.
    pub stamp: Option<&'a Lies>,
}

pub const HARMLESS: Hand<'static> = Hand {
    field: "/Rect [0 0 0 0]/F 132",
    name: "(Client)",
    signature: "/Type /Sig/Filter /Adobe.PPKLite/SubFilter /ETSI.CAdES.detached\
                /M (D:20270106114200-05'00')/Name (Lee Park)/Reason (Received)",
    fields: "",
    catalog: "",
    times: 1,
    on_page: true,
    more: Vec::new(),
    by: None,
    stamp: None,
};

impl Hand<'_> {
    /// The number of the first further object in a file.
    pub fn further(pdf: &[u8]) -> u32 {
        free(pdf) + 2
    }

    /// Signs a file whose form is inside its catalogue, with a key of the tests.
    pub fn sign(&self, pdf: &[u8]) -> Vec<u8> {
        let (field, signature) = (free(pdf), free(pdf) + 1);
        let fields = "/Fields [";
        let (number_of_root, catalog) = catalog_with(pdf, self.catalog);
        let catalog = String::from_utf8(catalog).unwrap();
        let catalog = catalog.replacen(fields, &format!("{fields}@"), 1);
        let (head, tail) = catalog.split_once('@').unwrap();
        let (inside, tail) = tail.split_once(']').unwrap();
        let catalog = format!("{head}{inside} {field} 0 R{}]{tail}", self.fields);
        let page = page(pdf);
        let page_source = source(pdf, page);
        let (head, tail) = page_source.split_once("/Annots").unwrap();
        let (head, tail) = (
            format!("{head}/Annots"),
            tail.trim_start().strip_prefix('[').unwrap().to_owned(),
        );
        let (inside, tail) = tail.split_once(']').unwrap();
        let entries = format!(" {field} 0 R").repeat(self.times);
        let mut objects = vec![(number_of_root, catalog.into_bytes())];
        let mut on_page = String::new();
        if self.on_page {
            let listed = format!("{head}[{inside}{entries}]{tail}");
            objects.push((page, listed.into_bytes()));
            on_page = format!("/P {page} 0 R");
        }
        objects.extend([
            (
                field,
                format!(
                    "<</Type /Annot/Subtype /Widget/FT /Sig/T {}{}{on_page}/V {signature} 0 R>>",
                    self.name, self.field
                )
                .into_bytes(),
            ),
            (
                signature,
                format!(
                    "<<{}{RANGE}/Contents <{}>>>",
                    self.signature,
                    "0".repeat(ROOM)
                )
                .into_bytes(),
            ),
        ]);
        for (n, body) in self.more.iter().enumerate() {
            objects.push((Self::further(pdf) + n as u32, body.clone()));
        }
        fill(append(pdf, &objects, ""), self)
    }
}

/// A file to which a field for another signature was added, with a frame of its own, before it is sealed;
/// and the number of the field.
pub fn with_field(pdf: &[u8]) -> (Vec<u8>, u32) {
    let (field, looks, page) = (free(pdf), free(pdf) + 1, page(pdf));
    let put = |source: &str, list: &str| {
        let (head, tail) = source.split_once(list).unwrap();
        let (inside, tail) = tail.trim_start()[1..].split_once(']').unwrap();
        format!("{head}{list} [{inside} {field} 0 R]{tail}").into_bytes()
    };
    let frame = b"0.5 w 1 1 98 48 re S";
    let own = format!(
        "<</Type /Annot/Subtype /Widget/FT /Sig/T (Client)/F 132/Rect [300 72 400 122]/P {page} 0 R\
         /AP <</N {looks} 0 R>>>>"
    );
    let objects = [
        (root(pdf), put(&source(pdf, root(pdf)), "/Fields")),
        (page, put(&source(pdf, page), "/Annots")),
        (field, own.into_bytes()),
        (
            looks,
            stream("/Type /XObject/Subtype /Form/BBox [0 0 100 50]", frame),
        ),
    ];
    (append(pdf, &objects, ""), field)
}

/// Signs in a field that a file has, after something in the field was replaced by something else;
/// further objects are numbered from the one behind the signature on.
pub fn sign_in(pdf: &[u8], field: u32, from: &str, to: &str, more: &[Vec<u8>]) -> Vec<u8> {
    let signature = free(pdf);
    let before = source(pdf, field);
    let now = before.replacen(from, to, 1);
    assert!(from == to || now != before, "{before}");
    let now = format!("{}/V {signature} 0 R>>", now.strip_suffix(">>").unwrap());
    let dictionary = format!(
        "<<{}{RANGE}/Contents <{}>>>",
        HARMLESS.signature,
        "0".repeat(ROOM)
    );
    let mut objects = vec![
        (field, now.into_bytes()),
        (signature, dictionary.into_bytes()),
    ];
    objects.extend((signature + 1..).zip(more.iter().cloned()));
    fill(append(pdf, &objects, ""), &HARMLESS)
}

pub fn page(pdf: &[u8]) -> u32 {
    let catalog = source(pdf, root(pdf));
    let pages = number(catalog.as_bytes(), "/Pages");
    number(source(pdf, pages).as_bytes(), "/Kids[")
}

/// Puts range and signature where they belong.
fn fill(mut pdf: Vec<u8>, hand: &Hand<'_>) -> Vec<u8> {
    let range = last(&pdf, RANGE);
    let open = range + RANGE.len() + "/Contents ".len();
    let close = open + ROOM + 2;
    let text = format!("/ByteRange [0 {open} {close} {}]", pdf.len() - close);
    let text = format!("{text:<width$}", width = RANGE.len());
    pdf[range..range + RANGE.len()].copy_from_slice(text.as_bytes());
    let content = [&pdf[..open], &pdf[close..]].concat();
    let message = match hand.stamp {
        Some(lies) => token(&Sha256::digest(&content), lies),
        None => message(&content, hand.by),
    };
    for (n, byte) in message.iter().enumerate() {
        let at = open + 1 + 2 * n;
        pdf[at..at + 2].copy_from_slice(format!("{byte:02x}").as_bytes());
    }
    pdf
}

/// A detached signature.
fn message(content: &[u8], by: Option<&Issued>) -> Vec<u8> {
    let (certificate, key) = match by {
        Some(issued) => (issued.der.clone(), issued.key.clone()),
        None => {
            let folder = tempfile::tempdir().unwrap();
            let pem = std::fs::read_to_string(key_file(&folder, "p256.key")).unwrap();
            let key = SigningKey::from_pkcs8_pem(&pem).unwrap();
            (super::authority::certificate("p256.crt"), key)
        }
    };
    let sha256 = sequence(&[&oid("2.16.840.1.101.3.4.2.1")]);
    let data = oid("1.2.840.113549.1.7.1");
    let bound = sequence(&[&sequence(&[&sequence(&[&octets(&Sha256::digest(
        &certificate,
    ))])])]);
    let attribute = |kind: &str, v: &[u8]| sequence(&[&oid(kind), &value(0x31, &[v])]);
    let mut attributes = [
        attribute("1.2.840.113549.1.9.3", &data),
        attribute("1.2.840.113549.1.9.4", &octets(&Sha256::digest(content))),
        attribute("1.2.840.113549.1.9.16.2.47", &bound),
    ];
    attributes.sort();
    let attributes = attributes.concat();
    let signature: DerSignature = key.sign(&value(0x31, &[&attributes]));
    let parsed = <x509_cert::Certificate as der::Decode>::from_der(&certificate).unwrap();
    let tbs = parsed.tbs_certificate();
    let issuer = der::Encode::to_der(tbs.issuer()).unwrap();
    let serial = der::Encode::to_der(tbs.serial_number()).unwrap();
    let signer = sequence(&[
        &[2, 1, 1],
        &sequence(&[&issuer, &serial]),
        &sha256,
        &value(0xA0, &[&attributes]),
        &sequence(&[&oid("1.2.840.10045.4.3.2")]),
        &octets(signature.as_bytes()),
    ]);
    let signed = sequence(&[
        &[2, 1, 1],
        &value(0x31, &[&sha256]),
        &sequence(&[&data]),
        &value(0xA0, &[&certificate]),
        &value(0x31, &[&signer]),
    ]);
    sequence(&[&oid("1.2.840.113549.1.7.2"), &value(0xA0, &[&signed])])
}
