//! Suction, power and fuel, and what a sudden stop does.

use crate::gate::formulas;
use dibble::hydraulics::{self, Engine, NpshInput};

formulas! {
    atmospheric_head_m(elevation_m) = hydraulics::atmospheric_head_m(elevation_m);
    npsh_available_m(elevation_m, water_c, suction_lift_m, suction_loss_m) =
        hydraulics::npsh_available_m(&NpshInput { elevation_m, water_c, suction_lift_m, suction_loss_m });
    practical_suction_lift_m(elevation_m, water_c) = hydraulics::practical_suction_lift_m(elevation_m, water_c);
    water_kw(flow_l_min, head_m) = hydraulics::water_kw(flow_l_min, head_m);
    brake_kw(water_kw, efficiency) = hydraulics::brake_kw(water_kw, efficiency);
    surge_kpa(velocity_m_s, wave_m_s) = hydraulics::surge_kpa(velocity_m_s, wave_m_s);
    wave_speed_m_s(modulus_gpa, bore_over_wall) = hydraulics::wave_speed_m_s(modulus_gpa, bore_over_wall);
    fuel_per_hour(brake_kw; engine: Engine) = hydraulics::fuel_per_hour(engine, brake_kw);
}
