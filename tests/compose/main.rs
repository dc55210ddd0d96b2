//! The certificate as a tree, its words in every language, its JSON, and the pages made of it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // tests may panic

mod advice;
mod approved;
#[path = "../common/compose_common/mod.rs"]
mod compose_common;
mod document;
mod drawn;
mod first_page;
#[path = "../gallery/mod.rs"]
mod gallery;
mod json;
mod meaning;
mod order;
mod pages;
#[path = "../common/pdf_common.rs"]
mod pdf_common;
mod plain_words;
mod safety;
mod wordings;
