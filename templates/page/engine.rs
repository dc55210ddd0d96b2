//! The engine of the worksheet's page: one request on standard input, the answer on standard
//! output. Built to WebAssembly by `templates/page/build`.

use std::io::{Read, Write};

fn main() -> std::io::Result<()> {
    let mut request = String::new();
    std::io::stdin().read_to_string(&mut request)?;
    let answer = warmlug::next::page_engine::answer(&request);
    std::io::stdout().write_all(answer.to_string().as_bytes())
}
