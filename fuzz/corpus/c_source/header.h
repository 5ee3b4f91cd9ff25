/* Declarations of a damper calibration: draft.
 * Set c3a73e55cd619bb71597651e2dfd14ec563e67c6558ccd7eae76766f9ac3f0b8.
 * Layout "unit", version 2.
 */
#ifndef WASHBOARD_SET_H
#define WASHBOARD_SET_H

#include <stdint.h>

#define SET_IDENTITY "c3a73e55cd619bb71597651e2dfd14ec563e67c6558ccd7eae76766f9ac3f0b8"
#define SET_LAYOUT_VERSION 2u
#define SET_MODES 2

/* A value is FACTOR * raw + OFFSET in the unit beside it.
 * Signs:
 *   x forward, y left, z up; roll positive with the left side up, pitch positive nose down (ISO 8855)
 *   damper velocity, corner rate and damper force: positive in rebound (damper extending), negative in compression
 *   lateral demand and longitudinal demand are magnitudes, never negative
 *   forward_m: the axle's lever arm from the body's centre of gravity, forward positive; left_m: the left corner's, the right corner has its negative
 *   a damper only resists: where wanted force and velocity disagree in sign the current is the soft end
 *   gains: N s/m at the wheel
 *   speed: km/h
 *   roughness level, lateral demand, longitudinal demand: m/s^2
 *   damper velocity and corner rate: m/s at the damper and at the wheel
 *   damper force: N at the damper; force at the damper = force at the wheel / motion ratio
 *   current: A; slew: A/s
 *   times: s; frequencies: Hz; lever arms: m
 *   scales, motion ratios: plain numbers; damper travel = motion ratio * wheel travel
 */
/* mode 1: firm, wet */
/* mode 2: soft/1 */

/* damper of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: current_a, A
 *   values: damper_force_n, N */
#define SET_FRONT_DAMPER_ROWS_FACTOR 3.67e-5
#define SET_FRONT_DAMPER_ROWS_OFFSET 0.0
extern const int16_t set_front_damper_rows[7];
#define SET_FRONT_DAMPER_COLUMNS_FACTOR 2.45e-5
#define SET_FRONT_DAMPER_COLUMNS_OFFSET 0.0
extern const uint16_t set_front_damper_columns[3];
#define SET_FRONT_DAMPER_VALUES_FACTOR 0.127
#define SET_FRONT_DAMPER_VALUES_OFFSET 0.0
extern const int16_t set_front_damper_values[7][3];

/* damper of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: current_a, A
 *   values: damper_force_n, N */
#define SET_REAR_DAMPER_ROWS_FACTOR 3.67e-5
#define SET_REAR_DAMPER_ROWS_OFFSET 0.0
extern const int16_t set_rear_damper_rows[7];
#define SET_REAR_DAMPER_COLUMNS_FACTOR 2.45e-5
#define SET_REAR_DAMPER_COLUMNS_OFFSET 0.0
extern const uint16_t set_rear_damper_columns[3];
#define SET_REAR_DAMPER_VALUES_FACTOR 0.102
#define SET_REAR_DAMPER_VALUES_OFFSET 0.0
extern const int16_t set_rear_damper_values[7][3];

/* mode "firm, wet", heave map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: heave_gain_n_s_per_m, N s/m */
#define SET_M1_HEAVE_ROWS_FACTOR 0.00199
#define SET_M1_HEAVE_ROWS_OFFSET 0.0
extern const uint16_t set_m1_heave_rows[3];
#define SET_M1_HEAVE_COLUMNS_FACTOR 0.000138
#define SET_M1_HEAVE_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_heave_columns[4];
#define SET_M1_HEAVE_VALUES_FACTOR 0.0187
#define SET_M1_HEAVE_VALUES_OFFSET 0.0
extern const uint16_t set_m1_heave_values[3][4];

/* mode "firm, wet", wheel map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: wheel_gain_n_s_per_m, N s/m */
#define SET_M1_WHEEL_ROWS_FACTOR 0.00199
#define SET_M1_WHEEL_ROWS_OFFSET 0.0
extern const uint16_t set_m1_wheel_rows[3];
#define SET_M1_WHEEL_COLUMNS_FACTOR 0.000138
#define SET_M1_WHEEL_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_wheel_columns[4];
#define SET_M1_WHEEL_VALUES_FACTOR 0.0112
#define SET_M1_WHEEL_VALUES_OFFSET 0.0
extern const uint16_t set_m1_wheel_values[3][4];

/* mode "firm, wet", base map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: base_gain_n_s_per_m, N s/m */
#define SET_M1_BASE_ROWS_FACTOR 0.00199
#define SET_M1_BASE_ROWS_OFFSET 0.0
extern const uint16_t set_m1_base_rows[3];
#define SET_M1_BASE_COLUMNS_FACTOR 0.000138
#define SET_M1_BASE_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_base_columns[4];
#define SET_M1_BASE_VALUES_FACTOR 0.0144
#define SET_M1_BASE_VALUES_OFFSET 0.0
extern const uint16_t set_m1_base_values[3][4];

/* mode "firm, wet", roll map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: roll_gain_n_s_per_m, N s/m */
#define SET_M1_ROLL_ROWS_FACTOR 0.00199
#define SET_M1_ROLL_ROWS_OFFSET 0.0
extern const uint16_t set_m1_roll_rows[3];
#define SET_M1_ROLL_COLUMNS_FACTOR 9.16e-5
#define SET_M1_ROLL_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_roll_columns[3];
#define SET_M1_ROLL_VALUES_FACTOR 0.0344
#define SET_M1_ROLL_VALUES_OFFSET 0.0
extern const uint16_t set_m1_roll_values[3][3];

/* mode "firm, wet", pitch map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: longitudinal_demand_m_per_s2, m/s^2
 *   values: pitch_gain_n_s_per_m, N s/m */
#define SET_M1_PITCH_ROWS_FACTOR 0.00199
#define SET_M1_PITCH_ROWS_OFFSET 0.0
extern const uint16_t set_m1_pitch_rows[3];
#define SET_M1_PITCH_COLUMNS_FACTOR 0.000107
#define SET_M1_PITCH_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_pitch_columns[3];
#define SET_M1_PITCH_VALUES_FACTOR 0.0269
#define SET_M1_PITCH_VALUES_OFFSET 0.0
extern const uint16_t set_m1_pitch_values[3][3];

/* mode "firm, wet", floor map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: least_current_a, A */
#define SET_M1_FLOOR_ROWS_FACTOR 0.00153
#define SET_M1_FLOOR_ROWS_OFFSET 0.0
extern const uint16_t set_m1_floor_rows[2];
#define SET_M1_FLOOR_COLUMNS_FACTOR 0.000123
#define SET_M1_FLOOR_COLUMNS_OFFSET 0.0
extern const uint16_t set_m1_floor_columns[3];
#define SET_M1_FLOOR_VALUES_FACTOR 1.07e-5
#define SET_M1_FLOOR_VALUES_OFFSET 0.0
extern const uint16_t set_m1_floor_values[2][3];

/* mode "firm, wet", inverse damper table of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
#define SET_M1_INVERSE_FRONT_ROWS_FACTOR 3.67e-5
#define SET_M1_INVERSE_FRONT_ROWS_OFFSET 0.0
extern const int16_t set_m1_inverse_front_rows[7];
#define SET_M1_INVERSE_FRONT_COLUMNS_FACTOR 0.127
#define SET_M1_INVERSE_FRONT_COLUMNS_OFFSET 0.0
extern const int16_t set_m1_inverse_front_columns[9];
#define SET_M1_INVERSE_FRONT_VALUES_FACTOR 2.28e-5
#define SET_M1_INVERSE_FRONT_VALUES_OFFSET 0.0
extern const uint16_t set_m1_inverse_front_values[7][9];

/* mode "firm, wet", inverse damper table of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
#define SET_M1_INVERSE_REAR_ROWS_FACTOR 3.67e-5
#define SET_M1_INVERSE_REAR_ROWS_OFFSET 0.0
extern const int16_t set_m1_inverse_rear_rows[7];
#define SET_M1_INVERSE_REAR_COLUMNS_FACTOR 0.102
#define SET_M1_INVERSE_REAR_COLUMNS_OFFSET 0.0
extern const int16_t set_m1_inverse_rear_columns[9];
#define SET_M1_INVERSE_REAR_VALUES_FACTOR 2.28e-5
#define SET_M1_INVERSE_REAR_VALUES_OFFSET 0.0
extern const uint16_t set_m1_inverse_rear_values[7][9];

/* mode "soft/1", heave map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: heave_gain_n_s_per_m, N s/m */
#define SET_M2_HEAVE_ROWS_FACTOR 0.00199
#define SET_M2_HEAVE_ROWS_OFFSET 0.0
extern const uint16_t set_m2_heave_rows[3];
#define SET_M2_HEAVE_COLUMNS_FACTOR 0.000138
#define SET_M2_HEAVE_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_heave_columns[4];
#define SET_M2_HEAVE_VALUES_FACTOR 0.0186
#define SET_M2_HEAVE_VALUES_OFFSET 0.0
extern const uint16_t set_m2_heave_values[3][4];

/* mode "soft/1", wheel map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: wheel_gain_n_s_per_m, N s/m */
#define SET_M2_WHEEL_ROWS_FACTOR 0.00199
#define SET_M2_WHEEL_ROWS_OFFSET 0.0
extern const uint16_t set_m2_wheel_rows[3];
#define SET_M2_WHEEL_COLUMNS_FACTOR 0.000138
#define SET_M2_WHEEL_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_wheel_columns[4];
#define SET_M2_WHEEL_VALUES_FACTOR 0.0111
#define SET_M2_WHEEL_VALUES_OFFSET 0.0
extern const uint16_t set_m2_wheel_values[3][4];

/* mode "soft/1", base map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: base_gain_n_s_per_m, N s/m */
#define SET_M2_BASE_ROWS_FACTOR 0.00199
#define SET_M2_BASE_ROWS_OFFSET 0.0
extern const uint16_t set_m2_base_rows[3];
#define SET_M2_BASE_COLUMNS_FACTOR 0.000138
#define SET_M2_BASE_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_base_columns[4];
#define SET_M2_BASE_VALUES_FACTOR 0.0143
#define SET_M2_BASE_VALUES_OFFSET 0.0
extern const uint16_t set_m2_base_values[3][4];

/* mode "soft/1", roll map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: roll_gain_n_s_per_m, N s/m */
#define SET_M2_ROLL_ROWS_FACTOR 0.00199
#define SET_M2_ROLL_ROWS_OFFSET 0.0
extern const uint16_t set_m2_roll_rows[3];
#define SET_M2_ROLL_COLUMNS_FACTOR 9.16e-5
#define SET_M2_ROLL_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_roll_columns[3];
#define SET_M2_ROLL_VALUES_FACTOR 0.0343
#define SET_M2_ROLL_VALUES_OFFSET 0.0
extern const uint16_t set_m2_roll_values[3][3];

/* mode "soft/1", pitch map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: longitudinal_demand_m_per_s2, m/s^2
 *   values: pitch_gain_n_s_per_m, N s/m */
#define SET_M2_PITCH_ROWS_FACTOR 0.00199
#define SET_M2_PITCH_ROWS_OFFSET 0.0
extern const uint16_t set_m2_pitch_rows[3];
#define SET_M2_PITCH_COLUMNS_FACTOR 0.000107
#define SET_M2_PITCH_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_pitch_columns[3];
#define SET_M2_PITCH_VALUES_FACTOR 0.0268
#define SET_M2_PITCH_VALUES_OFFSET 0.0
extern const uint16_t set_m2_pitch_values[3][3];

/* mode "soft/1", floor map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: least_current_a, A */
#define SET_M2_FLOOR_ROWS_FACTOR 0.00153
#define SET_M2_FLOOR_ROWS_OFFSET 0.0
extern const uint16_t set_m2_floor_rows[2];
#define SET_M2_FLOOR_COLUMNS_FACTOR 0.000123
#define SET_M2_FLOOR_COLUMNS_OFFSET 0.0
extern const uint16_t set_m2_floor_columns[3];
#define SET_M2_FLOOR_VALUES_FACTOR 1.07e-5
#define SET_M2_FLOOR_VALUES_OFFSET 0.0
extern const uint16_t set_m2_floor_values[2][3];

/* mode "soft/1", inverse damper table of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
#define SET_M2_INVERSE_FRONT_ROWS_FACTOR 3.67e-5
#define SET_M2_INVERSE_FRONT_ROWS_OFFSET 0.0
extern const int16_t set_m2_inverse_front_rows[7];
#define SET_M2_INVERSE_FRONT_COLUMNS_FACTOR 0.127
#define SET_M2_INVERSE_FRONT_COLUMNS_OFFSET 0.0
extern const int16_t set_m2_inverse_front_columns[9];
#define SET_M2_INVERSE_FRONT_VALUES_FACTOR 2.29e-5
#define SET_M2_INVERSE_FRONT_VALUES_OFFSET 0.0
extern const uint16_t set_m2_inverse_front_values[7][9];

/* mode "soft/1", inverse damper table of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
#define SET_M2_INVERSE_REAR_ROWS_FACTOR 3.67e-5
#define SET_M2_INVERSE_REAR_ROWS_OFFSET 0.0
extern const int16_t set_m2_inverse_rear_rows[7];
#define SET_M2_INVERSE_REAR_COLUMNS_FACTOR 0.102
#define SET_M2_INVERSE_REAR_COLUMNS_OFFSET 0.0
extern const int16_t set_m2_inverse_rear_columns[9];
#define SET_M2_INVERSE_REAR_VALUES_FACTOR 2.29e-5
#define SET_M2_INVERSE_REAR_VALUES_OFFSET 0.0
extern const uint16_t set_m2_inverse_rear_values[7][9];


/* controller.sample_rate_hz, Hz */
#define SET_CONTROLLER_SAMPLE_RATE_HZ_FACTOR 0.0153
#define SET_CONTROLLER_SAMPLE_RATE_HZ_OFFSET 0.0
extern const uint16_t set_controller_sample_rate_hz;

/* controller.roughness.low_hz, Hz */
#define SET_CONTROLLER_ROUGHNESS_LOW_HZ_FACTOR 0.000123
#define SET_CONTROLLER_ROUGHNESS_LOW_HZ_OFFSET 0.0
extern const uint16_t set_controller_roughness_low_hz;

/* controller.roughness.high_hz, Hz */
#define SET_CONTROLLER_ROUGHNESS_HIGH_HZ_FACTOR 0.000245
#define SET_CONTROLLER_ROUGHNESS_HIGH_HZ_OFFSET 0.0
extern const uint16_t set_controller_roughness_high_hz;

/* controller.roughness.rise_s, s */
#define SET_CONTROLLER_ROUGHNESS_RISE_S_FACTOR 4.58e-6
#define SET_CONTROLLER_ROUGHNESS_RISE_S_OFFSET 0.0
extern const uint16_t set_controller_roughness_rise_s;

/* controller.roughness.fall_s, s */
#define SET_CONTROLLER_ROUGHNESS_FALL_S_FACTOR 1.53e-5
#define SET_CONTROLLER_ROUGHNESS_FALL_S_OFFSET 0.0
extern const uint16_t set_controller_roughness_fall_s;

/* controller.lateral_demand.rise_s, s */
#define SET_CONTROLLER_LATERAL_DEMAND_RISE_S_FACTOR 7.63e-7
#define SET_CONTROLLER_LATERAL_DEMAND_RISE_S_OFFSET 0.0
extern const uint16_t set_controller_lateral_demand_rise_s;

/* controller.lateral_demand.fall_s, s */
#define SET_CONTROLLER_LATERAL_DEMAND_FALL_S_FACTOR 1.23e-5
#define SET_CONTROLLER_LATERAL_DEMAND_FALL_S_OFFSET 0.0
extern const uint16_t set_controller_lateral_demand_fall_s;

/* controller.longitudinal_demand.rise_s, s */
#define SET_CONTROLLER_LONGITUDINAL_DEMAND_RISE_S_FACTOR 6.11e-7
#define SET_CONTROLLER_LONGITUDINAL_DEMAND_RISE_S_OFFSET 0.0
extern const uint16_t set_controller_longitudinal_demand_rise_s;

/* controller.longitudinal_demand.fall_s, s */
#define SET_CONTROLLER_LONGITUDINAL_DEMAND_FALL_S_FACTOR 9.16e-6
#define SET_CONTROLLER_LONGITUDINAL_DEMAND_FALL_S_OFFSET 0.0
extern const uint16_t set_controller_longitudinal_demand_fall_s;

/* controller.blend_velocity_m_per_s, m/s */
#define SET_CONTROLLER_BLEND_VELOCITY_M_PER_S_FACTOR 1.53e-7
#define SET_CONTROLLER_BLEND_VELOCITY_M_PER_S_OFFSET 0.0
extern const uint16_t set_controller_blend_velocity_m_per_s;

/* front.motion_ratio */
#define SET_FRONT_MOTION_RATIO_FACTOR 1.45e-5
#define SET_FRONT_MOTION_RATIO_OFFSET 0.0
extern const uint16_t set_front_motion_ratio;

/* front.forward_m, m */
#define SET_FRONT_FORWARD_M_FACTOR 1.91e-5
#define SET_FRONT_FORWARD_M_OFFSET 0.0
extern const uint16_t set_front_forward_m;

/* front.left_m, m */
#define SET_FRONT_LEFT_M_FACTOR 1.21e-5
#define SET_FRONT_LEFT_M_OFFSET 0.0
extern const uint16_t set_front_left_m;

/* rear.motion_ratio */
#define SET_REAR_MOTION_RATIO_FACTOR 1.3e-5
#define SET_REAR_MOTION_RATIO_OFFSET 0.0
extern const uint16_t set_rear_motion_ratio;

/* rear.forward_m, m */
#define SET_REAR_FORWARD_M_FACTOR 4.43e-5
#define SET_REAR_FORWARD_M_OFFSET 0.0
extern const int16_t set_rear_forward_m;

/* rear.left_m, m */
#define SET_REAR_LEFT_M_FACTOR 1.2e-5
#define SET_REAR_LEFT_M_OFFSET 0.0
extern const uint16_t set_rear_left_m;

/* law */
#define SET_M1_LAW_FACTOR 1.0
#define SET_M1_LAW_OFFSET 0.0
extern const uint8_t set_m1_law;

/* law.Mixed.crossover_hz */
#define SET_M1_LAW_MIXED_CROSSOVER_HZ_FACTOR 2.9e-5
#define SET_M1_LAW_MIXED_CROSSOVER_HZ_OFFSET 0.0
extern const uint16_t set_m1_law_mixed_crossover_hz;

/* front.heave */
#define SET_M1_FRONT_HEAVE_FACTOR 1.55e-5
#define SET_M1_FRONT_HEAVE_OFFSET 0.0
extern const uint16_t set_m1_front_heave;

/* front.wheel */
#define SET_M1_FRONT_WHEEL_FACTOR 1.56e-5
#define SET_M1_FRONT_WHEEL_OFFSET 0.0
extern const uint16_t set_m1_front_wheel;

/* front.base */
#define SET_M1_FRONT_BASE_FACTOR 1.58e-5
#define SET_M1_FRONT_BASE_OFFSET 0.0
extern const uint16_t set_m1_front_base;

/* front.roll */
#define SET_M1_FRONT_ROLL_FACTOR 1.59e-5
#define SET_M1_FRONT_ROLL_OFFSET 0.0
extern const uint16_t set_m1_front_roll;

/* front.pitch */
#define SET_M1_FRONT_PITCH_FACTOR 1.61e-5
#define SET_M1_FRONT_PITCH_OFFSET 0.0
extern const uint16_t set_m1_front_pitch;

/* front.rebound */
#define SET_M1_FRONT_REBOUND_FACTOR 1.62e-5
#define SET_M1_FRONT_REBOUND_OFFSET 0.0
extern const uint16_t set_m1_front_rebound;

/* front.compression */
#define SET_M1_FRONT_COMPRESSION_FACTOR 1.49e-5
#define SET_M1_FRONT_COMPRESSION_OFFSET 0.0
extern const uint16_t set_m1_front_compression;

/* rear.heave */
#define SET_M1_REAR_HEAVE_FACTOR 1.39e-5
#define SET_M1_REAR_HEAVE_OFFSET 0.0
extern const uint16_t set_m1_rear_heave;

/* rear.wheel */
#define SET_M1_REAR_WHEEL_FACTOR 1.41e-5
#define SET_M1_REAR_WHEEL_OFFSET 0.0
extern const uint16_t set_m1_rear_wheel;

/* rear.base */
#define SET_M1_REAR_BASE_FACTOR 1.42e-5
#define SET_M1_REAR_BASE_OFFSET 0.0
extern const uint16_t set_m1_rear_base;

/* rear.roll */
#define SET_M1_REAR_ROLL_FACTOR 1.44e-5
#define SET_M1_REAR_ROLL_OFFSET 0.0
extern const uint16_t set_m1_rear_roll;

/* rear.pitch */
#define SET_M1_REAR_PITCH_FACTOR 1.45e-5
#define SET_M1_REAR_PITCH_OFFSET 0.0
extern const uint16_t set_m1_rear_pitch;

/* rear.rebound */
#define SET_M1_REAR_REBOUND_FACTOR 1.47e-5
#define SET_M1_REAR_REBOUND_OFFSET 0.0
extern const uint16_t set_m1_rear_rebound;

/* rear.compression */
#define SET_M1_REAR_COMPRESSION_FACTOR 1.33e-5
#define SET_M1_REAR_COMPRESSION_OFFSET 0.0
extern const uint16_t set_m1_rear_compression;

/* current_min_a, A */
#define SET_M1_CURRENT_MIN_A_FACTOR 6.11e-6
#define SET_M1_CURRENT_MIN_A_OFFSET 0.0
extern const uint16_t set_m1_current_min_a;

/* current_max_a, A */
#define SET_M1_CURRENT_MAX_A_FACTOR 2.28e-5
#define SET_M1_CURRENT_MAX_A_OFFSET 0.0
extern const uint16_t set_m1_current_max_a;

/* slew_a_per_s, A/s, raw 65535: none */
#define SET_M1_SLEW_A_PER_S_FACTOR 0.002424
#define SET_M1_SLEW_A_PER_S_OFFSET 0.0
extern const uint16_t set_m1_slew_a_per_s;

/* inverse_front.soft_a, A */
#define SET_M1_INVERSE_FRONT_SOFT_A_FACTOR 6.11e-6
#define SET_M1_INVERSE_FRONT_SOFT_A_OFFSET 0.0
extern const uint16_t set_m1_inverse_front_soft_a;

/* inverse_front.firm_a, A */
#define SET_M1_INVERSE_FRONT_FIRM_A_FACTOR 2.28e-5
#define SET_M1_INVERSE_FRONT_FIRM_A_OFFSET 0.0
extern const uint16_t set_m1_inverse_front_firm_a;

/* inverse_rear.soft_a, A */
#define SET_M1_INVERSE_REAR_SOFT_A_FACTOR 6.11e-6
#define SET_M1_INVERSE_REAR_SOFT_A_OFFSET 0.0
extern const uint16_t set_m1_inverse_rear_soft_a;

/* inverse_rear.firm_a, A */
#define SET_M1_INVERSE_REAR_FIRM_A_FACTOR 2.28e-5
#define SET_M1_INVERSE_REAR_FIRM_A_OFFSET 0.0
extern const uint16_t set_m1_inverse_rear_firm_a;

/* law */
#define SET_M2_LAW_FACTOR 1.0
#define SET_M2_LAW_OFFSET 0.0
extern const uint8_t set_m2_law;

/* front.heave */
#define SET_M2_FRONT_HEAVE_FACTOR 1.55e-5
#define SET_M2_FRONT_HEAVE_OFFSET 0.0
extern const uint16_t set_m2_front_heave;

/* front.wheel */
#define SET_M2_FRONT_WHEEL_FACTOR 1.56e-5
#define SET_M2_FRONT_WHEEL_OFFSET 0.0
extern const uint16_t set_m2_front_wheel;

/* front.base */
#define SET_M2_FRONT_BASE_FACTOR 1.58e-5
#define SET_M2_FRONT_BASE_OFFSET 0.0
extern const uint16_t set_m2_front_base;

/* front.roll */
#define SET_M2_FRONT_ROLL_FACTOR 1.59e-5
#define SET_M2_FRONT_ROLL_OFFSET 0.0
extern const uint16_t set_m2_front_roll;

/* front.pitch */
#define SET_M2_FRONT_PITCH_FACTOR 1.61e-5
#define SET_M2_FRONT_PITCH_OFFSET 0.0
extern const uint16_t set_m2_front_pitch;

/* front.rebound */
#define SET_M2_FRONT_REBOUND_FACTOR 1.62e-5
#define SET_M2_FRONT_REBOUND_OFFSET 0.0
extern const uint16_t set_m2_front_rebound;

/* front.compression */
#define SET_M2_FRONT_COMPRESSION_FACTOR 1.49e-5
#define SET_M2_FRONT_COMPRESSION_OFFSET 0.0
extern const uint16_t set_m2_front_compression;

/* rear.heave */
#define SET_M2_REAR_HEAVE_FACTOR 1.39e-5
#define SET_M2_REAR_HEAVE_OFFSET 0.0
extern const uint16_t set_m2_rear_heave;

/* rear.wheel */
#define SET_M2_REAR_WHEEL_FACTOR 1.41e-5
#define SET_M2_REAR_WHEEL_OFFSET 0.0
extern const uint16_t set_m2_rear_wheel;

/* rear.base */
#define SET_M2_REAR_BASE_FACTOR 1.42e-5
#define SET_M2_REAR_BASE_OFFSET 0.0
extern const uint16_t set_m2_rear_base;

/* rear.roll */
#define SET_M2_REAR_ROLL_FACTOR 1.44e-5
#define SET_M2_REAR_ROLL_OFFSET 0.0
extern const uint16_t set_m2_rear_roll;

/* rear.pitch */
#define SET_M2_REAR_PITCH_FACTOR 1.45e-5
#define SET_M2_REAR_PITCH_OFFSET 0.0
extern const uint16_t set_m2_rear_pitch;

/* rear.rebound */
#define SET_M2_REAR_REBOUND_FACTOR 1.47e-5
#define SET_M2_REAR_REBOUND_OFFSET 0.0
extern const uint16_t set_m2_rear_rebound;

/* rear.compression */
#define SET_M2_REAR_COMPRESSION_FACTOR 1.33e-5
#define SET_M2_REAR_COMPRESSION_OFFSET 0.0
extern const uint16_t set_m2_rear_compression;

/* current_min_a, A */
#define SET_M2_CURRENT_MIN_A_FACTOR 6.11e-6
#define SET_M2_CURRENT_MIN_A_OFFSET 0.0
extern const uint16_t set_m2_current_min_a;

/* current_max_a, A */
#define SET_M2_CURRENT_MAX_A_FACTOR 2.29e-5
#define SET_M2_CURRENT_MAX_A_OFFSET 0.0
extern const uint16_t set_m2_current_max_a;

/* slew_a_per_s, A/s, raw 65535: none */
#define SET_M2_SLEW_A_PER_S_FACTOR 0.0023129
#define SET_M2_SLEW_A_PER_S_OFFSET 0.0
extern const uint16_t set_m2_slew_a_per_s;

/* inverse_front.soft_a, A */
#define SET_M2_INVERSE_FRONT_SOFT_A_FACTOR 6.11e-6
#define SET_M2_INVERSE_FRONT_SOFT_A_OFFSET 0.0
extern const uint16_t set_m2_inverse_front_soft_a;

/* inverse_front.firm_a, A */
#define SET_M2_INVERSE_FRONT_FIRM_A_FACTOR 2.29e-5
#define SET_M2_INVERSE_FRONT_FIRM_A_OFFSET 0.0
extern const uint16_t set_m2_inverse_front_firm_a;

/* inverse_rear.soft_a, A */
#define SET_M2_INVERSE_REAR_SOFT_A_FACTOR 6.11e-6
#define SET_M2_INVERSE_REAR_SOFT_A_OFFSET 0.0
extern const uint16_t set_m2_inverse_rear_soft_a;

/* inverse_rear.firm_a, A */
#define SET_M2_INVERSE_REAR_FIRM_A_FACTOR 2.29e-5
#define SET_M2_INVERSE_REAR_FIRM_A_OFFSET 0.0
extern const uint16_t set_m2_inverse_rear_firm_a;

#endif
/* SHA-256 of every byte before this line: 8d57fd3e997be34c0d8c07f16856b4ba85026bbd3693074ce443e4d4570b07d0 */
