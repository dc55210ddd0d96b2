//! From an assessment to a certificate: sections, tables, charts, photos and sentences.

pub mod tree;
