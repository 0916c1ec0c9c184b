//! What the shop pays, as a person reads it.

use catalogue::{Currency, Money};

/// A cost with the places of its currency. Costs are kept exactly, and converting another currency's price leaves more
/// places than anybody pays; the service's own answers (`--json`) hold them all.
pub(crate) fn cost(amount: Money, currency: &Currency) -> String {
    let places = currency.places();
    amount.rounded(places).text(places)
}

/// A cost with its currency.
pub(crate) fn cost_with_currency(amount: Money, currency: &Currency) -> String {
    format!("{} {currency}", cost(amount, currency))
}

#[cfg(test)]
mod tests {
    use catalogue::{Currency, Money};

    use super::cost_with_currency;

    #[test]
    fn a_converted_cost_is_shown_in_the_minor_unit() {
        let shown = |raw, currency| {
            cost_with_currency(Money::from_raw(raw), &Currency::parse(currency).expect("a currency"))
        };
        assert_eq!(shown(127_740, "EUR"), "12.77 EUR");
        assert_eq!(shown(132_095, "EUR"), "13.21 EUR");
        assert_eq!(shown(-132_050, "EUR"), "-13.21 EUR");
        assert_eq!(shown(1_000_000, "EUR"), "100.00 EUR");
        assert_eq!(shown(1_235_000, "JPY"), "124 JPY");
    }
}
