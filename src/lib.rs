//! warmlug turns one inspection visit to an EV-charger circuit into findings and a signed
//! PDF certificate.
//!
//! Data flows in one direction through five stages, one folder each; no stage depends on a later
//! one: [`visit`] parses and validates the file, [`assess`] computes the findings with a rule set
//! from [`rules`], [`compose`] puts them into words and sections, [`typeset`] lays those out as
//! PDF, [`seal`] signs and verifies. [`quantity`] holds the units they all share.
//!
//! From a visit file to a sealed certificate and back:
//!
//! ```
//! use warmlug::compose::{self, Images, Inputs, SealFacts, Wording};
//! use warmlug::record::accepted::Accepted;
//! use warmlug::seal::{self, Identity, Person, SignOptions, VerifyOptions};
//! use warmlug::{assess, rules, typeset, visit};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let source = include_str!("../templates/visits/starter.yaml")
//!     .replace("{number}", "2026-0147")
//!     .replace("{date}", "2026-10-06");
//! // `Accepted` looks at no files; the program's own surroundings look at photos on the disk.
//! let visit = visit::read(&source, "visit.yaml", &Accepted).map_err(|e| e.to_string())?;
//! let rules = rules::built_in(&visit.rules).ok_or("no such rule set")?;
//! let assessment = assess::assess(&visit, rules, &[]);
//! assert!(!assessment.complete, "nothing was measured yet, so it is no clean bill");
//!
//! let at = "2026-10-06T12:00:00-04:00".parse()?;
//! let person = Person { name: visit.inspector.name.clone(), ..Person::default() };
//! let identity = Identity::create(&person, "2026-01-01T00:00:00Z".parse()?)?;
//! let document = compose::certificate(Inputs {
//!     visit: &visit,
//!     assessment: &assessment,
//!     rules,
//!     built_in: &[],
//!     wording: Wording::built_in(visit.print.main_language())?,
//!     images: Images::default(),
//!     seal: Some(SealFacts {
//!         signer: person.name,
//!         firm: None,
//!         licence: None,
//!         time: at,
//!         fingerprint: identity.fingerprint().to_string(),
//!         self_signed: true,
//!     }),
//!     draft: false,
//!     created: at,
//!     source: source.as_bytes(),
//! })?;
//! let sealed = seal::sign(&typeset::render(&document)?, &identity, &SignOptions::at(at))?;
//!
//! assert!(seal::verify(sealed.bytes(), &VerifyOptions::default()).unchanged());
//! let mut forged = sealed.bytes().to_vec();
//! forged[4000] ^= 1;
//! assert!(!seal::verify(&forged, &VerifyOptions::default()).unchanged());
//! # Ok(())
//! # }
//! ```
//!
//! As WebAssembly, for the browser, everything is available except parts that need files, a
//! terminal or the network.

pub mod amend;
pub mod assess;
pub mod certify;
#[cfg(not(target_family = "wasm"))]
pub mod cli;
pub mod compose;
mod counted_up;
pub mod disk;
pub mod firm;
#[cfg(test)]
#[allow(clippy::panic)] // tests may panic
mod generated;
mod lookalike;
mod nearest;
pub mod next;
#[cfg(not(target_family = "wasm"))]
pub mod orders;
pub mod pdf;
pub mod photo;
pub mod quantity;
mod quoted;
pub mod record;
#[cfg(not(target_family = "wasm"))]
pub mod register;
#[cfg(not(target_family = "wasm"))]
pub mod reminders;
pub mod rules;
pub mod seal;
pub mod typeset;
pub mod visit;
pub mod vocabulary;
pub mod web;
pub mod yaml;
