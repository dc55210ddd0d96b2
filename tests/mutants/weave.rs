//! Weaves all the mutants that cargo-mutants lists into one program, each switched on by its
//! number in the environment, so that the program is built once and not once a mutant.
//!
//!     weave LIST.json FOLDER LEFT_OUT.txt MAP.json
//!
//! LIST.json is `cargo mutants --list --json`; the numbers are positions in it. Files under FOLDER
//! are rewritten. LEFT_OUT names numbers, one a line, not to weave in. MAP says, for each number
//! woven, where in the rewritten file it went.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::error::Error;
use std::ops::Range;
use std::path::Path;

use proc_macro2::{LineColumn, Span};
use serde_json::{Value, json};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// One text put in, or put in the place of a range of the old text.
struct Edit {
    at: Range<usize>,
    text: String,
    /// Among edits at one place: lower first.
    order: (u8, i64),
}

struct Mutant {
    id: usize,
    genre: String,
    replacement: String,
}

struct Weaver<'a> {
    source: &'a str,
    lines: Vec<usize>,
    by_start: HashMap<usize, Vec<(usize, Mutant)>>,
    edits: Vec<Edit>,
    depth: i64,
    woven: HashSet<usize>,
    konst: bool,
    sites: Vec<(Vec<usize>, Range<usize>)>,
}

/// Constant functions that constants call.
const KEPT: [&str; 2] = ["row", "from_celsius"];

const ON: &str = "crate::mutants_on";

impl Weaver<'_> {
    fn offset(&self, at: LineColumn) -> usize {
        let start = self.lines[at.line - 1];
        let line = &self.source[start..];
        start
            + line
                .char_indices()
                .nth(at.column)
                .map_or(line.len(), |(i, _)| i)
    }

    fn range(&self, span: Span) -> Range<usize> {
        self.offset(span.start())..self.offset(span.end())
    }

    fn take(&mut self, range: &Range<usize>, genre: &str) -> Vec<Mutant> {
        if self.konst {
            return Vec::new();
        }
        let Some(list) = self.by_start.get_mut(&range.start) else {
            return Vec::new();
        };
        let (take, leave): (Vec<_>, Vec<_>) = list
            .drain(..)
            .partition(|(end, m)| *end == range.end && m.genre == genre);
        *list = leave;
        take.into_iter().map(|(_, m)| m).collect()
    }

    fn before(&mut self, at: usize, text: String) {
        self.edits.push(Edit {
            at: at..at,
            text,
            order: (1, self.depth),
        });
    }

    fn after(&mut self, at: usize, text: String) {
        self.edits.push(Edit {
            at: at..at,
            text,
            order: (0, -self.depth),
        });
    }

    fn instead(&mut self, at: Range<usize>, text: String) {
        self.edits.push(Edit {
            at,
            text,
            order: (1, self.depth),
        });
    }

    fn done(&mut self, ids: &[usize], site: Range<usize>) {
        self.woven.extend(ids);
        self.sites.push((ids.to_vec(), site));
    }

    fn arms(&self, mutants: &[Mutant], base: &str, by: impl Fn(&str) -> String) -> String {
        let mut text = String::new();
        for m in mutants {
            // Marks, so that an error of the compiler's is laid at the right mutant's door.
            text += &format!(
                "if {ON}({}) {{ /*<{}*/{}/*>{}*/ }} else ",
                m.id,
                m.id,
                by(&m.replacement),
                m.id
            );
        }
        text + &format!("{{ {base} }}")
    }

    fn body(&mut self, sig: &syn::Signature, block: &syn::Block) {
        let (Some(first), Some(last)) = (block.stmts.first(), block.stmts.last()) else {
            return;
        };
        let range = self.offset(first.span().start())..self.offset(last.span().end());
        let open = self.range(block.brace_token.span.open());
        if kept(sig) {
            return;
        }
        if let Some(konst) = &sig.constness {
            // A constant function cannot ask which mutant is on.
            self.instead(self.range(konst.span()), String::new());
        }
        for m in self.take(&range, "FnValue") {
            if m.replacement.contains("::std::iter::") {
                continue;
            }
            self.depth -= 1000;
            let text = format!(
                " if {ON}({}) {{ /*<{}*/return {};/*>{}*/ }} ",
                m.id, m.id, m.replacement, m.id
            );
            self.before(open.end, text);
            self.depth += 1000;
            self.done(&[m.id], open.clone());
        }
    }

    /// Walks on in what is computed by the compiler, or is not.
    fn within(&mut self, konst: bool, walk: impl FnOnce(&mut Self)) {
        let before = std::mem::replace(&mut self.konst, konst);
        walk(self);
        self.konst = before;
    }

    fn inside(&mut self, sig: &syn::Signature, walk: impl FnOnce(&mut Self)) {
        self.within(kept(sig), walk);
    }
}

/// Whether a function stays constant: constants call it.
fn kept(sig: &syn::Signature) -> bool {
    sig.constness.is_some() && KEPT.contains(&sig.ident.to_string().as_str())
}

fn has_let(e: &syn::Expr) -> bool {
    match e {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(b) => has_let(&b.left) || has_let(&b.right),
        _ => false,
    }
}

fn is_test(attrs: &[syn::Attribute]) -> bool {
    attrs.iter().any(|a| {
        a.path().is_ident("test")
            || (a.path().is_ident("cfg")
                && a.parse_args::<syn::Path>()
                    .is_ok_and(|p| p.is_ident("test")))
    })
}

impl<'ast> Visit<'ast> for Weaver<'_> {
    fn visit_item_mod(&mut self, i: &'ast syn::ItemMod) {
        if !is_test(&i.attrs) {
            visit::visit_item_mod(self, i);
        }
    }
    fn visit_item_const(&mut self, i: &'ast syn::ItemConst) {
        self.within(true, |w| visit::visit_item_const(w, i));
    }
    fn visit_item_static(&mut self, i: &'ast syn::ItemStatic) {
        self.within(true, |w| visit::visit_item_static(w, i));
    }
    fn visit_impl_item_const(&mut self, i: &'ast syn::ImplItemConst) {
        self.within(true, |w| visit::visit_impl_item_const(w, i));
    }
    fn visit_item_fn(&mut self, i: &'ast syn::ItemFn) {
        if is_test(&i.attrs) {
            return;
        }
        self.body(&i.sig, &i.block);
        self.inside(&i.sig, |w| visit::visit_item_fn(w, i));
    }
    fn visit_impl_item_fn(&mut self, i: &'ast syn::ImplItemFn) {
        self.body(&i.sig, &i.block);
        self.inside(&i.sig, |w| visit::visit_impl_item_fn(w, i));
    }
    fn visit_trait_item_fn(&mut self, i: &'ast syn::TraitItemFn) {
        if let Some(block) = &i.default {
            self.body(&i.sig, block);
        }
        self.inside(&i.sig, |w| visit::visit_trait_item_fn(w, i));
    }

    fn visit_expr_binary(&mut self, e: &'ast syn::ExprBinary) {
        self.depth += 1;
        let whole = self.range(e.span());
        let op = self.range(e.op.span());
        let spelt = self.source[op.clone()].to_string();
        let assign = spelt.ends_with('=') && !matches!(spelt.as_str(), "==" | "!=" | "<=" | ">=");
        let lazy = matches!(spelt.as_str(), "&&" | "||");
        let compare = matches!(spelt.as_str(), "==" | "!=" | "<" | ">" | "<=" | ">=");
        let takes = if lazy && (has_let(&e.left) || has_let(&e.right)) {
            Vec::new()
        } else {
            self.take(&op, "BinaryOperator")
        };
        let ids: Vec<usize> = takes.iter().map(|m| m.id).collect();
        if takes.is_empty() {
            visit::visit_expr_binary(self, e);
        } else if lazy {
            // && and || differ in the value of the left side that ends it.
            let m = &takes[0];
            let ends = if spelt == "&&" {
                format!("{ON}({})", m.id)
            } else {
                format!("!{ON}({})", m.id)
            };
            self.before(whole.start, "(match (".into());
            self.instead(op, format!(") {{ mx => if mx == {ends} {{ mx }} else {{ "));
            self.after(whole.end, " } })".into());
            self.done(&ids, whole);
            visit::visit_expr_binary(self, e);
        } else if assign {
            let left = self.source[self.range(e.left.span())].to_string();
            let left_start = self.range(e.left.span()).start;
            let text = self.arms(&takes, &format!("{left} {spelt} mx;"), |r| {
                format!("{left} {r} mx;")
            });
            self.instead(left_start..op.end, "match (".into());
            self.after(whole.end, format!(") {{ mx => {text} }}"));
            self.done(&ids, whole);
            self.visit_expr(&e.right);
        } else {
            let (open, close) = if compare { ("&(", ")") } else { ("(", ")") };
            let text = self.arms(&takes, &format!("mx {spelt} my"), |r| format!("mx {r} my"));
            self.before(whole.start, format!("(match ({open}"));
            self.instead(op, format!("{close}, {open}"));
            self.after(whole.end, format!("{close}) {{ (mx, my) => {text} }})"));
            self.done(&ids, whole);
            visit::visit_expr_binary(self, e);
        }
        self.depth -= 1;
    }

    fn visit_expr_unary(&mut self, e: &'ast syn::ExprUnary) {
        self.depth += 1;
        let whole = self.range(e.span());
        let op = self.range(e.op.span());
        let spelt = self.source[op.clone()].to_string();
        let takes = self.take(&op, "UnaryOperator");
        if let Some(m) = takes.first() {
            let ids = vec![m.id];
            let text = self.arms(&takes, &format!("{spelt} mx"), |_| "mx".into());
            self.instead(op, "(match (".into());
            self.after(whole.end, format!(") {{ mx => {text} }})"));
            self.done(&ids, whole);
        }
        visit::visit_expr_unary(self, e);
        self.depth -= 1;
    }

    fn visit_arm(&mut self, a: &'ast syn::Arm) {
        self.depth += 1;
        let whole = self.range(a.span());
        let pattern = self.range(a.pat.span());
        let guard = a.guard.as_ref().map(|(_, g)| g);
        if guard.is_none_or(|g| !has_let(g)) {
            // The span of an arm may or may not take in the comma after it.
            let mut deleted = self.take(&whole, "MatchArm");
            if deleted.is_empty() {
                let end = whole.end + self.source[whole.end..].find(',').map_or(0, |i| i + 1);
                deleted = self.take(&(whole.start..end), "MatchArm");
            }
            let gone = deleted.first().map(|m| format!("!{ON}({})", m.id));
            let mut ids: Vec<usize> = deleted.iter().map(|m| m.id).collect();
            match guard {
                None => {
                    if let Some(gone) = gone {
                        self.after(pattern.end, format!(" if {gone}"));
                    }
                }
                Some(g) => {
                    let range = self.range(g.span());
                    let guards = self.take(&range, "MatchArmGuard");
                    let mut text = gone.map_or(String::from("("), |g| format!("{g} && ("));
                    for m in &guards {
                        if m.replacement == "true" {
                            text += &format!("{ON}({}) || ", m.id);
                        }
                    }
                    text += "(true";
                    for m in &guards {
                        if m.replacement == "false" {
                            text += &format!(" && !{ON}({})", m.id);
                        }
                    }
                    ids.extend(guards.iter().map(|m| m.id));
                    if !ids.is_empty() {
                        self.depth -= 500;
                        self.before(range.start, format!("{text} && ("));
                        self.after(range.end, ")))".into());
                        self.depth += 500;
                    }
                }
            }
            if !ids.is_empty() {
                self.done(&ids, whole);
            }
        }
        visit::visit_arm(self, a);
        self.depth -= 1;
    }

    fn visit_expr_struct(&mut self, s: &'ast syn::ExprStruct) {
        self.depth += 1;
        if let Some(rest) = &s.rest {
            let base = self.source[self.range(rest.span())].to_string();
            for field in &s.fields {
                let whole = self.range(field.span());
                let end = whole.end + self.source[whole.end..].find(',').map_or(0, |i| i + 1);
                let takes = self.take(&(whole.start..end), "StructField");
                let Some(m) = takes.first() else { continue };
                let name = self.source[self.range(field.member.span())].to_string();
                let value = self.range(field.expr.span());
                let text = format!(
                    "if {ON}({}) {{ /*<{}*/({base}).{name}/*>{}*/ }} else {{ ",
                    m.id, m.id, m.id
                );
                self.depth -= 500;
                if field.colon_token.is_some() {
                    self.before(value.start, text);
                } else {
                    self.before(value.start, format!("{name}: {text}"));
                }
                self.after(value.end, " }".into());
                self.depth += 500;
                self.done(&[m.id], whole);
            }
        }
        visit::visit_expr_struct(self, s);
        self.depth -= 1;
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().collect();
    let [_, list, folder, left_out, map] = args.as_slice() else {
        return Err("weave LIST.json FOLDER LEFT_OUT.txt MAP.json".into());
    };
    let left_out: HashSet<usize> = std::fs::read_to_string(left_out)?
        .lines()
        .map(str::parse)
        .collect::<Result<_, _>>()?;
    let list: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(list)?)?;
    let mut files: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (id, m) in list.iter().enumerate() {
        if !left_out.contains(&id) {
            files
                .entry(m["file"].as_str().unwrap_or_default().into())
                .or_default()
                .push(id);
        }
    }
    let mut told = Vec::new();
    let mut count = 0;
    for (file, ids) in files {
        let path = Path::new(folder).join(&file);
        let source = std::fs::read_to_string(&path)?;
        let mut lines = vec![0];
        lines.extend(source.match_indices('\n').map(|(i, _)| i + 1));
        let mut weaver = Weaver {
            source: &source,
            lines,
            by_start: HashMap::new(),
            edits: Vec::new(),
            depth: 0,
            woven: HashSet::new(),
            konst: false,
            sites: Vec::new(),
        };
        let number = |v: &Value| usize::try_from(v.as_u64().unwrap_or(1)).unwrap_or(1);
        for id in ids {
            let m = &list[id];
            let at = |end: &str| {
                weaver.offset(LineColumn {
                    line: number(&m["span"][end]["line"]),
                    column: number(&m["span"][end]["column"]) - 1,
                })
            };
            let (start, end) = (at("start"), at("end"));
            let mutant = Mutant {
                id,
                genre: m["genre"].as_str().unwrap_or_default().into(),
                replacement: m["replacement"].as_str().unwrap_or_default().into(),
            };
            weaver
                .by_start
                .entry(start)
                .or_default()
                .push((end, mutant));
        }
        weaver.visit_file(&syn::parse_file(&source)?);
        let Weaver {
            mut edits,
            woven,
            sites,
            ..
        } = weaver;
        count += woven.len();
        edits.sort_by_key(|e| (e.at.start, e.order));
        let mut text = String::new();
        let mut marks: Vec<(usize, usize)> = vec![(0, 0)];
        let mut at = 0;
        for e in edits {
            text += source
                .get(at..e.at.start)
                .ok_or_else(|| format!("{file}: edits overlap at {}", e.at.start))?;
            marks.push((e.at.start, text.len()));
            text += &e.text;
            at = e.at.end;
            marks.push((at, text.len()));
        }
        text += &source[at..];
        let new = |old: usize, before: bool| {
            let mark = if before {
                marks
                    .iter()
                    .find(|(o, _)| *o >= old)
                    .filter(|(o, _)| *o == old)
                    .or_else(|| marks.iter().rev().find(|(o, _)| *o <= old))
            } else {
                marks.iter().rev().find(|(o, _)| *o <= old)
            };
            mark.map_or(old, |(o, n)| n + (old - o))
        };
        for (ids, site) in sites {
            told.push(json!({"file": file, "ids": ids, "start": new(site.start, true), "end": new(site.end, false)}));
        }
        std::fs::write(&path, text)?;
    }
    std::fs::write(map, serde_json::to_string(&told)?)?;
    println!("{count} of {} woven in", list.len());
    Ok(())
}
