//! A mix taken apart into sums that a person can redo.

use super::answer::money;
use super::{Blend, BlendRequest, Product};
use crate::error::{Error, Result};
use crate::explain::Step;

impl Blend {
    /// The sums behind the mix: what each nutrient gets from each product, the salt, the acid, the cost. `request` is
    /// what the mix was made for.
    ///
    /// # Errors
    /// A request with other products than the mix has.
    ///
    /// ```
    /// use dibble::control::Control;
    /// use dibble::fertility::{BlendRequest, Guarantee, Need, Product, blend};
    /// let urea = Product { price_per_kg: Some(0.66), ..Product::find("urea")? };
    /// let request = BlendRequest::new(vec![Need::at_least(Guarantee::N, 23.0)], vec![urea]);
    /// let steps = blend(&request, &Control::new())?.explain(&request)?;
    /// assert_eq!(
    ///     steps[0].to_string(),
    ///     "N: weight of each product times its content, with 46 % in urea 50.0 kg = 23.0 kg [guaranteed analysis]"
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn explain(&self, request: &BlendRequest) -> Result<Vec<Step>> {
        let same =
            request.products.len() == self.amounts.len() && request.products.iter().zip(&self.amounts).all(|(p, a)| p.name == a.product);
        if !same {
            return Err(Error::inconsistent(
                "the request holds other products than the mix",
                "Give the request that the mix was made for.",
            ));
        }
        let used = || request.products.iter().zip(&self.amounts).filter(|(_, a)| a.kg > 0.0);
        let sum = |step: Step, share: &dyn Fn(&Product) -> f64, name: &dyn Fn(&Product) -> String| {
            used().filter(|(p, _)| share(p) > 0.0).fold(step, |step, (p, a)| step.from(&name(p), a.kg, "kg"))
        };
        let mut steps = Vec::new();
        for s in &self.supplied {
            let step = Step::new(s.nutrient.name(), "weight of each product times its content", s.kg, "kg", "guaranteed analysis");
            let pct = |p: &Product| p.content_pct(s.nutrient);
            steps.push(sum(step, &pct, &|p| format!("{} % in {}", pct(p), p.name)));
        }
        if let Some(salt) = self.salt_kg {
            let step = Step::new("salt", "weight of each product times its salt index over 100", salt, "kg sodium nitrate", "salt index");
            let index = |p: &Product| p.salt_index.unwrap_or(0.0);
            steps.push(sum(step, &index, &|p| format!("index {} of {}", index(p), p.name)));
        }
        if let Some(acid) = self.acidity_kg {
            let step = Step::new("acid", "weight of each product times the carbonate it uses up", acid, "kg CaCO3", "products");
            let per_kg = |p: &Product| p.acidity_kg_kg.unwrap_or(0.0);
            steps.push(sum(step, &per_kg, &|p| format!("{} kg/kg of {}", per_kg(p), p.name)));
        }
        let step = Step::new("cost", "weight bought of each product times its price", self.cost, "", "prices as given");
        let bought = used().filter_map(|(p, a)| Some((p.price().filter(|_| a.bought_kg > 0.0)?, p, a.bought_kg)));
        steps.push(bought.fold(step, |step, (price, p, kg)| step.from(&format!("{} for a kg of {}", money(price), p.name), kg, "kg")));
        Ok(steps)
    }
}
