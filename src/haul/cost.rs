//! What does it cost, by the user's own prices?
//!
//! Nothing is costed that has no price: it is listed instead. A trip costs its price by the load, its tip fee and its hours; hours are
//! those of its cycle. Money is a number without a sign of its own.

/// Prices of one truck.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Haulage {
    /// The truck, by its number.
    pub truck: usize,
    /// An hour.
    pub per_hour: Option<f64>,
    /// A load.
    pub per_load: Option<f64>,
    /// A load tipped.
    pub tip_fee: Option<f64>,
}

/// Prices of something that is ordered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Goods {
    /// A layer, its gradation, or lime.
    pub name: String,
    /// Price of one of a unit: `ton`, `ft2`, `bag`.
    pub per: Vec<(&'static str, f64)>,
}

/// The user's prices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices {
    /// By truck.
    pub haul: Vec<Haulage>,
    /// A cubic job unit dug, bank.
    pub dig: Option<f64>,
    /// By what is ordered.
    pub goods: Vec<Goods>,
}

impl Prices {
    /// One load of a truck that is gone so many hours; none without a price, or with one by the hour and no hours.
    #[must_use]
    pub fn of_load(&self, truck: usize, cycle: Option<f64>) -> Option<f64> {
        let of = self.haul.iter().find(|h| h.truck == truck)?;
        let hours = match of.per_hour {
            Some(price) => Some(price * cycle?),
            None => None,
        };
        let known = [hours, of.per_load, of.tip_fee];
        // A tip fee by itself says nothing of the haul.
        (hours.is_some() || of.per_load.is_some()).then(|| known.into_iter().flatten().sum())
    }

    /// Price of one of a unit of what has one of these names.
    #[must_use]
    pub fn of_goods(&self, names: &[&str], unit: &str) -> Option<f64> {
        let named = self.goods.iter().filter(|g| names.contains(&g.name.as_str()));
        named.flat_map(|g| &g.per).find(|(u, _)| *u == unit).map(|(_, price)| *price)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_costs_what_was_said_and_nothing_is_made_up() {
        let haul = vec![
            Haulage { truck: 0, per_hour: Some(100.0), tip_fee: Some(40.0), per_load: None },
            Haulage { truck: 1, tip_fee: Some(40.0), ..Haulage::default() },
            Haulage { truck: 2, per_load: Some(0.0), ..Haulage::default() },
        ];
        let prices = Prices { haul, ..Prices::default() };
        assert_eq!(prices.of_load(0, Some(1.5)), Some(190.0));
        assert_eq!(prices.of_load(0, None), None, "by the hour, and no hours");
        assert_eq!(prices.of_load(1, Some(1.0)), None, "a tip fee alone");
        assert_eq!(prices.of_load(2, None), Some(0.0), "a price of nothing is a price");
        assert_eq!(prices.of_load(3, Some(1.0)), None);
    }

    #[test]
    fn goods_are_found_by_name_or_gradation() {
        let goods = vec![Goods { name: "No. 57".into(), per: vec![("ton", 30.0), ("yd3", 40.0)] }];
        let prices = Prices { goods, ..Prices::default() };
        assert_eq!(prices.of_goods(&["clean stone", "No. 57"], "yd3"), Some(40.0));
        assert_eq!(prices.of_goods(&["clean stone", "No. 57"], "bag"), None);
        assert_eq!(prices.of_goods(&["sand"], "ton"), None);
    }
}
