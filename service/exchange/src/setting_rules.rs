//! Settings of the shop: which there are, and what each may hold.

use catalogue::{Cell, ColumnKind};

/// A setting that the service knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SettingRule {
    /// Its name.
    pub name: &'static str,
    /// What it holds.
    pub kind: ColumnKind,
}

/// The settings that the service knows.
pub const SETTINGS: &[SettingRule] = &[
    SettingRule { name: "BASE-CURRENCY", kind: ColumnKind::Currency },
    SettingRule { name: "LABOUR-RATE", kind: ColumnKind::Money },
    SettingRule { name: "TAX", kind: ColumnKind::Code },
    SettingRule { name: "QUOTE-VALID-DAYS", kind: ColumnKind::Integer },
    SettingRule { name: "KIT-DISPLAY", kind: ColumnKind::Choice(&["one_line", "spread"]) },
    SettingRule { name: "TOP-GEAR-GRADE-PERCENT", kind: ColumnKind::Percent },
    SettingRule { name: "SURPLUS", kind: ColumnKind::Choice(&["charged", "shelved"]) },
];

/// Why a text is not a value of a setting, and what would be right; `None` where it is one, or the setting is not known.
pub(crate) fn setting_fault(name: &str, value: &str) -> Option<(String, String, ColumnKind)> {
    let rule = SETTINGS.iter().find(|rule| rule.name == name)?;
    match rule.kind.read(value) {
        Err(fault) => Some((fault.wrong, fault.right, rule.kind)),
        Ok(Cell::Integer(number)) if number < 0 => {
            Some(("is below zero".into(), rule.kind.wanted(), rule.kind))
        }
        Ok(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_is_held_against_its_kind() {
        assert_eq!(setting_fault("BASE-CURRENCY", "EUR"), None);
        assert_eq!(setting_fault("HOUSE-COLOUR", "green"), None);
        for (name, value) in [
            ("BASE-CURRENCY", "Euro"),
            ("LABOUR-RATE", "-1"),
            ("SURPLUS", "kept"),
            ("QUOTE-VALID-DAYS", "1.5"),
        ] {
            assert!(setting_fault(name, value).is_some(), "{name}");
        }
    }
}
