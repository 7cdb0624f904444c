//! `dibble.et.crop`: coefficients, evaporation from bare soil, stress, sparse stands.

use crate::gate::formulas;
use dibble::et::crop::{self, BareSoilWetting, CoverFromKcb, DripCover, EvaporationShare, SaltTolerance, SparseCover, Texture};

formulas! {
    climate_adjusted(kc, wind_2m_m_s, rh_min_pct, height_m) = crop::climate_adjusted(kc, wind_2m_m_s, rh_min_pct, height_m);
    rh_min_from_dew(dew_c, tmax_c) = crop::rh_min_from_dew(dew_c, tmax_c);
    rh_min_from_tmin(tmin_c, tmax_c) = crop::rh_min_from_tmin(tmin_c, tmax_c);
    stage_interpolated(kc_before, kc_next, elapsed) = crop::stage_interpolated(kc_before, kc_next, elapsed);
    mulch_factor(cover) = crop::mulch_factor(cover);
    kc_under_plastic(kc, reduction) = crop::kc_under_plastic(kc, reduction);

    kc_max(kcb, wind_2m_m_s, rh_min_pct, height_m) = crop::kc_max(kcb, wind_2m_m_s, rh_min_pct, height_m);
    canopy_cover_from_kcb(kcb, kc_min, kc_max, height_m) =
        crop::canopy_cover_from_kcb(&CoverFromKcb { kcb, kc_min, kc_max, height_m });
    exposed_wetted_fraction(canopy_cover, wetted) = crop::exposed_wetted_fraction(canopy_cover, wetted);
    exposed_wetted_fraction_under_drip(canopy_cover, wetted) =
        crop::exposed_wetted_fraction_under_drip(&DripCover { canopy_cover, wetted });
    total_evaporable_mm(field_capacity, wilting_point, depth_m) = crop::total_evaporable_mm(field_capacity, wilting_point, depth_m);
    evaporation_reduction(depletion_mm, readily_mm, total_mm) = crop::evaporation_reduction(depletion_mm, readily_mm, total_mm);
    evaporation_coefficient(reduction, kcb, kc_max, exposed_wetted) =
        crop::evaporation_coefficient(&EvaporationShare { reduction, kcb, kc_max, exposed_wetted });

    kc_initial(interval_d, eto_mm, wetting_mm; texture: Texture) =
        crop::kc_initial(&BareSoilWetting { interval_d, eto_mm, wetting_mm, texture });

    kcb_full(height_m, wind_2m_m_s, rh_min_pct) = crop::kcb_full(height_m, wind_2m_m_s, rh_min_pct);
    noon_sun_elevation(latitude_deg, day_of_year) = crop::noon_sun_elevation(latitude_deg, day_of_year);
    effective_cover_of_rows(canopy_cover, height_to_width, sun_elevation_rad) =
        crop::effective_cover_of_rows(canopy_cover, height_to_width, sun_elevation_rad);
    effective_cover_of_trees(canopy_cover, sun_elevation_rad) = crop::effective_cover_of_trees(canopy_cover, sun_elevation_rad);
    density_coefficient(canopy_cover, effective_cover, height_m) =
        crop::density_coefficient(&SparseCover { canopy_cover, effective_cover, height_m });
    // The later form does not look at the canopy cover.
    density_coefficient_2009(effective_cover, height_m, m_l) =
        crop::density_coefficient_2009(&SparseCover { canopy_cover: 0.0, effective_cover, height_m }, m_l);
    kcb_from_cover(kcb_full, kc_min, density) = crop::kcb_from_cover(kcb_full, kc_min, density);
    kcb_over_ground_cover(kcb_full, kcb_cover, density) = crop::kcb_over_ground_cover(kcb_full, kcb_cover, density);
    kcb_from_leaf_area(kcb_full, kc_min, leaf_area_index) = crop::kcb_from_leaf_area(kcb_full, kc_min, leaf_area_index);

    adjusted_for_sparse_cover(kc, cover, dense_cover) = crop::adjusted_for_sparse_cover(kc, cover, dense_cover);
    stomatal_factor(t_c, elevation_m, wind_2m_m_s, leaf_resistance_s_m) =
        crop::stomatal_factor(t_c, elevation_m, wind_2m_m_s, leaf_resistance_s_m);
    two_cover_kc(tall_cover, short_cover, tall_height_m, short_height_m, tall_kc, short_kc) =
        crop::two_cover_kc((tall_cover, tall_height_m, tall_kc), (short_cover, short_height_m, short_kc));
    windbreak_kc(stomatal_factor, height_m, width_m) = crop::windbreak_kc(stomatal_factor, height_m, width_m);

    total_available_mm(field_capacity, wilting_point, root_depth_m) =
        crop::total_available_mm(field_capacity, wilting_point, root_depth_m);
    readily_available_mm(total_mm, p) = crop::readily_available_mm(total_mm, p);
    stress_onset(p_table, etc_mm) = crop::stress_onset(p_table, etc_mm);
    water_stress(depletion_mm, total_available_mm, p) = crop::water_stress(depletion_mm, total_available_mm, p);
    yield_under_salt(ec_ds_m, threshold_ds_m, slope_pct) =
        crop::yield_under_salt(&SaltTolerance { threshold_ds_m, slope_pct }, ec_ds_m);
    salt_stress(ec_ds_m, threshold_ds_m, slope_pct, yield_response) =
        crop::salt_stress(&SaltTolerance { threshold_ds_m, slope_pct }, ec_ds_m, yield_response);
    stress_from_yield(relative_yield, yield_response) = crop::stress_from_yield(relative_yield, yield_response);
}
