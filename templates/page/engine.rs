//! The engine of the browser application: one request on standard input, the answer on standard
//! output. Built to WebAssembly by `templates/page/build`.

use std::io::{Read, Write};

fn main() -> std::io::Result<()> {
    let mut request = Vec::new();
    std::io::stdin().read_to_end(&mut request)?;
    std::io::stdout().write_all(&warmlug::web::answer(&request))
}
