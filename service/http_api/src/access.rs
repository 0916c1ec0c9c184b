//! Who may do what with which path: the role table laid over the operations of the document.

use std::collections::HashMap;

use utoipa::openapi::path::Operation;
use utoipa::openapi::{OpenApi, PathItem};

use crate::role_table::Access;

/// The access to every method of every path that the document describes.
#[derive(Debug)]
pub(crate) struct AccessMap {
    paths: HashMap<String, HashMap<&'static str, Access>>,
}

impl AccessMap {
    /// The table over a document; the error is the operation that has no line in the table.
    pub(crate) fn of(document: &OpenApi) -> Result<Self, String> {
        let mut paths: HashMap<String, HashMap<&'static str, Access>> = HashMap::new();
        for (path, item) in &document.paths.paths {
            for (method, id) in operations(item) {
                let access = Access::of(&id).ok_or(id)?;
                paths.entry(path.clone()).or_default().insert(method, access);
            }
        }
        Ok(Self { paths })
    }

    /// Who may use a method of a path; `None` where there is nothing to be refused: the path or the method is unknown.
    pub(crate) fn of_request(&self, method: &str, pattern: Option<&str>) -> Option<Access> {
        let pattern = pattern?;
        // The reference page is files of a library; it describes what the open document says.
        if pattern.starts_with("/reference") {
            return Some(Access::Open);
        }
        let method = if method == "HEAD" { "GET" } else { method };
        match self.paths.get(pattern) {
            Some(methods) => methods.get(method).copied(),
            // A route that nothing describes is nobody's but the owner's.
            None => Some(Access::Roles(&[])),
        }
    }
}

/// The methods of a path with the ids of their operations.
pub(crate) fn operations(item: &PathItem) -> impl Iterator<Item = (&'static str, String)> {
    let id = |operation: &Operation| operation.operation_id.clone().unwrap_or_default();
    let methods = [
        ("GET", &item.get),
        ("PUT", &item.put),
        ("POST", &item.post),
        ("DELETE", &item.delete),
        ("PATCH", &item.patch),
    ];
    methods.into_iter().filter_map(move |(method, operation)| Some((method, id(operation.as_ref()?))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_leads_to_its_line_and_an_undescribed_one_to_the_owner() {
        let map = AccessMap::of(&crate::openapi::described()).unwrap();
        assert_eq!(map.of_request("HEAD", Some("/healthz")), Some(Access::Open));
        assert_eq!(map.of_request("GET", Some("/reference/{file:.*}")), Some(Access::Open));
        assert_eq!(map.of_request("GET", Some("/v1/secret")), Some(Access::Roles(&[])));
        assert_eq!(map.of_request("BREW", Some("/healthz")), None);
        assert_eq!(map.of_request("GET", None), None);
        let mut unknown = crate::openapi::described();
        let item = unknown.paths.paths.get_mut("/healthz").unwrap();
        item.get.as_mut().unwrap().operation_id = Some("get_unheard".to_owned());
        assert_eq!(AccessMap::of(&unknown).unwrap_err(), "get_unheard");
    }
}
