//! The structure of a finished file, read back: every piece of content belongs to one node, and
//! the way back from content to node leads to the same.

use std::collections::{BTreeMap, BTreeSet};

use crate::pdf_common::Pdf;
use warmlug::pdf::{Dict, Id, Object};

/// What is wrong with a file's structure.
pub fn faults(bytes: &[u8]) -> Vec<String> {
    let pdf = Pdf::load(bytes);
    let mut faults = Vec::new();
    let pages = pdf.pages();
    let root = dictionary(&pdf, pdf.catalog().get(b"StructTreeRoot").unwrap());

    // From nodes to content.
    let mut owners: BTreeMap<(Id, i64), Id> = BTreeMap::new();
    let mut objects: BTreeMap<Id, Id> = BTreeMap::new();
    let top = root.get(b"K").unwrap().as_reference().unwrap();
    let mut open = vec![(top, None)];
    while let Some((id, parent)) = open.pop() {
        let node = pdf.dict(id);
        let page = node.get(b"Pg").and_then(Object::as_reference);
        if let Some(parent) = parent
            && node.get(b"P").and_then(Object::as_reference) != Some(parent)
        {
            faults.push(format!(
                "node {id:?} names another parent than the one that holds it"
            ));
        }
        let kids = match node.get(b"K") {
            Some(Object::Array(kids)) => kids.clone(),
            Some(kid) => vec![kid.clone()],
            None => Vec::new(),
        };
        for kid in kids {
            match kid {
                Object::Integer(mcid) => {
                    if owners.insert((page.unwrap(), mcid), id).is_some() {
                        faults.push(format!(
                            "content {mcid} of page {page:?} belongs to two nodes"
                        ));
                    }
                }
                Object::Reference(child) => open.push((child, Some(id))),
                Object::Dictionary(dict) if dict.get(b"MCID").is_some() => {
                    let page = dict.get(b"Pg").unwrap().as_reference().unwrap();
                    let mcid = dict.get(b"MCID").unwrap().as_integer().unwrap();
                    if owners.insert((page, mcid), id).is_some() {
                        faults.push(format!(
                            "content {mcid} of page {page:?} belongs to two nodes"
                        ));
                    }
                }
                Object::Dictionary(dict) => {
                    objects.insert(dict.get(b"Obj").unwrap().as_reference().unwrap(), id);
                }
                other => faults.push(format!("node {id:?} holds {other:?}")),
            }
        }
    }

    // From content to nodes.
    let tree = dictionary(&pdf, root.get(b"ParentTree").unwrap());
    let numbers = tree.get(b"Nums").unwrap().as_array().unwrap();
    let parents: BTreeMap<i64, &Object> = numbers
        .chunks(2)
        .map(|pair| (pair[0].as_integer().unwrap(), &pair[1]))
        .collect();
    for &page in &pages {
        let dict = pdf.dict(page);
        let key = dict.get(b"StructParents").unwrap().as_integer().unwrap();
        let list = pdf.follow(parents[&key]).as_array().unwrap();
        let shown = shown(&pdf, page, &mut faults);
        for (mcid, owner) in list.iter().enumerate() {
            let mcid = i64::try_from(mcid).unwrap();
            let back = owner.as_reference().unwrap();
            if owners.get(&(page, mcid)) != Some(&back) {
                faults.push(format!(
                    "content {mcid} of page {page:?} leads back to another node"
                ));
            }
        }
        let known: BTreeSet<i64> = owners.keys().filter(|k| k.0 == page).map(|k| k.1).collect();
        if known != shown {
            faults.push(format!(
                "page {page:?} shows contents {shown:?}, its nodes hold {known:?}"
            ));
        }
        for annotation in dict
            .get(b"Annots")
            .and_then(Object::as_array)
            .unwrap_or_default()
        {
            let id = annotation.as_reference().unwrap();
            let key = pdf
                .dict(id)
                .get(b"StructParent")
                .unwrap()
                .as_integer()
                .unwrap();
            let back = parents[&key].as_reference().unwrap();
            if objects.get(&id) != Some(&back) {
                faults.push(format!("annotation {id:?} leads back to another node"));
            }
        }
    }
    faults
}

/// Numbers of the contents that a page shows; everything on it is content or an artifact.
fn shown(pdf: &Pdf, page: Id, faults: &mut Vec<String>) -> BTreeSet<i64> {
    let mut shown = BTreeSet::new();
    let mut depth = 0;
    for (operands, operator) in pdf.operations(page) {
        match operator.as_str() {
            "BDC" => {
                depth += 1;
                if let Some(mcid) = operands[1].as_dictionary().unwrap().get(b"MCID")
                    && !shown.insert(mcid.as_integer().unwrap())
                {
                    faults.push(format!("page {page:?} shows {mcid:?} twice"));
                }
            }
            "BMC" => depth += 1,
            "EMC" => depth -= 1,
            "Tj" | "S" | "s" | "f" | "f*" | "B" | "Do" if depth == 0 => {
                faults.push(format!("page {page:?} draws outside of any content"));
            }
            _ => {}
        }
    }
    if depth != 0 {
        faults.push(format!("page {page:?} leaves content open"));
    }
    shown
}

fn dictionary<'a>(pdf: &'a Pdf, object: &'a Object) -> &'a Dict {
    pdf.follow(object).as_dictionary().unwrap()
}

/// A text string of a dictionary in ASCII.
pub fn text(dict: &Dict, key: &[u8]) -> Option<String> {
    let string = dict.get(key).and_then(Object::as_string)?;
    Some(String::from_utf8_lossy(&string.bytes).into_owned())
}
