//! Elements by the names that the files and the page use: `bed wet-foot`.

use groundwright_plan::{ElementId, ElementRef, Kind};

/// The name of an element.
pub fn name_of(element: &ElementRef) -> String {
    format!("{} {}", element.kind.key(), element.id)
}

/// The element of a name, if its kind is known and its id could be one.
pub fn element_of(name: &str) -> Option<ElementRef> {
    let (kind, id) = name.split_once(' ')?;
    let kind = Kind::ALL.iter().find(|known| known.key() == kind)?;
    ElementId::is_valid(id).then(|| ElementRef::new(*kind, &ElementId(id.to_owned())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_go_there_and_back() {
        for kind in Kind::ALL {
            let element = ElementRef::new(*kind, &ElementId("north-2".to_owned()));
            assert_eq!(element_of(&name_of(&element)), Some(element));
        }
        for wrong in ["", "bed", "bed ", "bed North", "cloud nine", "bed a b"] {
            assert_eq!(element_of(wrong), None, "{wrong}");
        }
    }
}
