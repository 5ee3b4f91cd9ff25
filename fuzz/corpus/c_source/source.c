/* Numbers of a damper calibration: draft.
 * Set c3a73e55cd619bb71597651e2dfd14ec563e67c6558ccd7eae76766f9ac3f0b8.
 * Layout "unit", version 2.
 */
#include "washboard_set.h"

/* damper of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: current_a, A
 *   values: damper_force_n, N */
const int16_t set_front_damper_rows[7] = { -32698, -8174, -1362, 0, 1362, 8174, 32698 };
const uint16_t set_front_damper_columns[3] = { 12245u, 36735u, 65306u };
const int16_t set_front_damper_values[7][3] = {
  { -6344, -9989, -14241 },
  { -3165, -5717, -8693 },
  { -937, -1787, -2780 },
  { 0, 0, 0 },
  { 2155, 4111, 6393 },
  { 7280, 13148, 19994 },
  { 14592, 22974, 32754 },
};

/* damper of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: current_a, A
 *   values: damper_force_n, N */
const int16_t set_rear_damper_rows[7] = { -32698, -8174, -1362, 0, 1362, 8174, 32698 };
const uint16_t set_rear_damper_columns[3] = { 12245u, 36735u, 65306u };
const int16_t set_rear_damper_values[7][3] = {
  { -6319, -9950, -14185 },
  { -3153, -5694, -8659 },
  { -933, -1780, -2769 },
  { 0, 0, 0 },
  { 2147, 4095, 6368 },
  { 7252, 13096, 19915 },
  { 14534, 22884, 32625 },
};

/* mode "firm, wet", heave map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: heave_gain_n_s_per_m, N s/m */
const uint16_t set_m1_heave_rows[3] = { 0u, 33668u, 65327u };
const uint16_t set_m1_heave_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m1_heave_values[3][4] = {
  { 54385u, 54439u, 54492u, 54545u },
  { 59733u, 59786u, 59840u, 59893u },
  { 65080u, 65134u, 65187u, 65241u },
};

/* mode "firm, wet", wheel map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: wheel_gain_n_s_per_m, N s/m */
const uint16_t set_m1_wheel_rows[3] = { 0u, 33668u, 65327u };
const uint16_t set_m1_wheel_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m1_wheel_values[3][4] = {
  { 47054u, 47143u, 47232u, 47321u },
  { 55982u, 56071u, 56161u, 56250u },
  { 64911u, 65000u, 65089u, 65179u },
};

/* mode "firm, wet", base map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: base_gain_n_s_per_m, N s/m */
const uint16_t set_m1_base_rows[3] = { 0u, 33668u, 65327u };
const uint16_t set_m1_base_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m1_base_values[3][4] = {
  { 51181u, 51250u, 51319u, 51389u },
  { 58125u, 58194u, 58264u, 58333u },
  { 65069u, 65139u, 65208u, 65278u },
};

/* mode "firm, wet", roll map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: roll_gain_n_s_per_m, N s/m */
const uint16_t set_m1_roll_rows[3] = { 0u, 33668u, 65327u };
const uint16_t set_m1_roll_columns[3] = { 0u, 21834u, 65502u };
const uint16_t set_m1_roll_values[3][3] = {
  { 59506u, 59535u, 59564u },
  { 62413u, 62442u, 62471u },
  { 65320u, 65349u, 65378u },
};

/* mode "firm, wet", pitch map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: longitudinal_demand_m_per_s2, m/s^2
 *   values: pitch_gain_n_s_per_m, N s/m */
const uint16_t set_m1_pitch_rows[3] = { 0u, 33668u, 65327u };
const uint16_t set_m1_pitch_columns[3] = { 0u, 28037u, 65421u };
const uint16_t set_m1_pitch_values[3][3] = {
  { 57881u, 57918u, 57955u },
  { 61599u, 61636u, 61673u },
  { 65316u, 65353u, 65390u },
};

/* mode "firm, wet", floor map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: least_current_a, A */
const uint16_t set_m1_floor_rows[2] = { 0u, 65359u };
const uint16_t set_m1_floor_columns[3] = { 0u, 32520u, 65041u };
const uint16_t set_m1_floor_values[2][3] = {
  { 42056u, 46729u, 51402u },
  { 56075u, 60748u, 65421u },
};

/* mode "firm, wet", inverse damper table of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
const int16_t set_m1_inverse_front_rows[7] = { -32698, -14532, -3633, 0, 3633, 14532, 32698 };
const int16_t set_m1_inverse_front_columns[9] = { -14241, -7120, 0, 5459, 10918, 16377, 21836, 27295, 32754 };
const uint16_t set_m1_inverse_front_values[7][9] = {
  { 65482u, 18762u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 65482u, 42224u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 65482u, 65482u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 17544u, 17544u, 17544u, 26037u, 65482u, 65482u, 65482u, 65482u, 65482u },
  { 17544u, 17544u, 17544u, 17544u, 20189u, 42224u, 64258u, 65482u, 65482u },
  { 17544u, 17544u, 17544u, 17544u, 17544u, 18762u, 35900u, 53038u, 65482u },
};

/* mode "firm, wet", inverse damper table of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
const int16_t set_m1_inverse_rear_rows[7] = { -32698, -14532, -3633, 0, 3633, 14532, 32698 };
const int16_t set_m1_inverse_rear_columns[9] = { -14185, -7092, 0, 5438, 10875, 16313, 21750, 27188, 32625 };
const uint16_t set_m1_inverse_rear_values[7][9] = {
  { 65482u, 18762u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 65482u, 42224u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 65482u, 65482u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u, 17544u },
  { 17544u, 17544u, 17544u, 26037u, 65482u, 65482u, 65482u, 65482u, 65482u },
  { 17544u, 17544u, 17544u, 17544u, 20189u, 42224u, 64258u, 65482u, 65482u },
  { 17544u, 17544u, 17544u, 17544u, 17544u, 18762u, 35900u, 53038u, 65482u },
};

/* mode "soft/1", heave map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: heave_gain_n_s_per_m, N s/m */
const uint16_t set_m2_heave_rows[3] = { 0u, 30151u, 65327u };
const uint16_t set_m2_heave_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m2_heave_values[3][4] = {
  { 54301u, 54355u, 54409u, 54462u },
  { 59677u, 59731u, 59785u, 59839u },
  { 65054u, 65108u, 65161u, 65215u },
};

/* mode "soft/1", wheel map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: wheel_gain_n_s_per_m, N s/m */
const uint16_t set_m2_wheel_rows[3] = { 0u, 30151u, 65327u };
const uint16_t set_m2_wheel_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m2_wheel_values[3][4] = {
  { 46847u, 46937u, 47027u, 47117u },
  { 55856u, 55946u, 56036u, 56126u },
  { 64865u, 64955u, 65045u, 65135u },
};

/* mode "soft/1", base map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: roughness_m_per_s2, m/s^2
 *   values: base_gain_n_s_per_m, N s/m */
const uint16_t set_m2_base_rows[3] = { 0u, 30151u, 65327u };
const uint16_t set_m2_base_columns[4] = { 0u, 10870u, 28986u, 65217u };
const uint16_t set_m2_base_values[3][4] = {
  { 51049u, 51119u, 51189u, 51259u },
  { 58042u, 58112u, 58182u, 58252u },
  { 65035u, 65105u, 65175u, 65245u },
};

/* mode "soft/1", roll map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: roll_gain_n_s_per_m, N s/m */
const uint16_t set_m2_roll_rows[3] = { 0u, 30151u, 65327u };
const uint16_t set_m2_roll_columns[3] = { 0u, 21834u, 65502u };
const uint16_t set_m2_roll_values[3][3] = {
  { 59475u, 59504u, 59534u },
  { 62391u, 62420u, 62449u },
  { 65306u, 65335u, 65364u },
};

/* mode "soft/1", pitch map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: longitudinal_demand_m_per_s2, m/s^2
 *   values: pitch_gain_n_s_per_m, N s/m */
const uint16_t set_m2_pitch_rows[3] = { 0u, 30151u, 65327u };
const uint16_t set_m2_pitch_columns[3] = { 0u, 28037u, 65421u };
const uint16_t set_m2_pitch_values[3][3] = {
  { 57836u, 57873u, 57910u },
  { 61567u, 61604u, 61642u },
  { 65299u, 65336u, 65373u },
};

/* mode "soft/1", floor map: values[row][column]
 *   rows: speed_km_h, km/h
 *   columns: lateral_demand_m_per_s2, m/s^2
 *   values: least_current_a, A */
const uint16_t set_m2_floor_rows[2] = { 0u, 65359u };
const uint16_t set_m2_floor_columns[3] = { 0u, 32520u, 65041u };
const uint16_t set_m2_floor_values[2][3] = {
  { 42056u, 46729u, 51402u },
  { 56075u, 60748u, 65421u },
};

/* mode "soft/1", inverse damper table of the front axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
const int16_t set_m2_inverse_front_rows[7] = { -32698, -14532, -3633, 0, 3633, 14532, 32698 };
const int16_t set_m2_inverse_front_columns[9] = { -14241, -7120, 0, 5459, 10918, 16377, 21836, 27295, 32754 };
const uint16_t set_m2_inverse_front_values[7][9] = {
  { 65502u, 18680u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 65502u, 42039u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 65502u, 65502u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 17467u, 17467u, 17467u, 25924u, 65502u, 65502u, 65502u, 65502u, 65502u },
  { 17467u, 17467u, 17467u, 17467u, 20101u, 42039u, 63977u, 65502u, 65502u },
  { 17467u, 17467u, 17467u, 17467u, 17467u, 18680u, 35743u, 52806u, 65502u },
};

/* mode "soft/1", inverse damper table of the rear axle: values[row][column]
 *   rows: damper_velocity_m_per_s, m/s
 *   columns: wanted_damper_force_n, N
 *   values: current_a, A */
const int16_t set_m2_inverse_rear_rows[7] = { -32698, -14532, -3633, 0, 3633, 14532, 32698 };
const int16_t set_m2_inverse_rear_columns[9] = { -14185, -7092, 0, 5438, 10875, 16313, 21750, 27188, 32625 };
const uint16_t set_m2_inverse_rear_values[7][9] = {
  { 65502u, 18680u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 65502u, 42039u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 65502u, 65502u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u, 17467u },
  { 17467u, 17467u, 17467u, 25924u, 65502u, 65502u, 65502u, 65502u, 65502u },
  { 17467u, 17467u, 17467u, 17467u, 20101u, 42039u, 63977u, 65502u, 65502u },
  { 17467u, 17467u, 17467u, 17467u, 17467u, 18680u, 35743u, 52806u, 65502u },
};

const uint16_t set_controller_sample_rate_hz = 65359u;
const uint16_t set_controller_roughness_low_hz = 65041u;
const uint16_t set_controller_roughness_high_hz = 65306u;
const uint16_t set_controller_roughness_rise_s = 65502u;
const uint16_t set_controller_roughness_fall_s = 65359u;
const uint16_t set_controller_lateral_demand_rise_s = 65531u;
const uint16_t set_controller_lateral_demand_fall_s = 65041u;
const uint16_t set_controller_longitudinal_demand_rise_s = 65466u;
const uint16_t set_controller_longitudinal_demand_fall_s = 65502u;
const uint16_t set_controller_blend_velocity_m_per_s = 65359u;
const uint16_t set_front_motion_ratio = 65517u;
const uint16_t set_front_forward_m = 65445u;
const uint16_t set_front_left_m = 65289u;
const uint16_t set_rear_motion_ratio = 65385u;
const int16_t set_rear_forward_m = -32731;
const uint16_t set_rear_left_m = 65000u;
const uint8_t set_m1_law = 3u;
const uint16_t set_m1_law_mixed_crossover_hz = 65517u;
const uint16_t set_m1_front_heave = 65161u;
const uint16_t set_m1_front_wheel = 65385u;
const uint16_t set_m1_front_base = 65190u;
const uint16_t set_m1_front_roll = 65409u;
const uint16_t set_m1_front_pitch = 65217u;
const uint16_t set_m1_front_rebound = 65432u;
const uint16_t set_m1_front_compression = 65101u;
const uint16_t set_m1_rear_heave = 65468u;
const uint16_t set_m1_rear_wheel = 65248u;
const uint16_t set_m1_rear_base = 65493u;
const uint16_t set_m1_rear_roll = 65278u;
const uint16_t set_m1_rear_pitch = 65517u;
const uint16_t set_m1_rear_rebound = 65306u;
const uint16_t set_m1_rear_compression = 65414u;
const uint16_t set_m1_current_min_a = 65466u;
const uint16_t set_m1_current_max_a = 65482u;
const uint16_t set_m1_slew_a_per_s = 64769u;
const uint16_t set_m1_inverse_front_soft_a = 65466u;
const uint16_t set_m1_inverse_front_firm_a = 65482u;
const uint16_t set_m1_inverse_rear_soft_a = 65466u;
const uint16_t set_m1_inverse_rear_firm_a = 65482u;
const uint8_t set_m2_law = 0u;
const uint16_t set_m2_front_heave = 65161u;
const uint16_t set_m2_front_wheel = 65385u;
const uint16_t set_m2_front_base = 65190u;
const uint16_t set_m2_front_roll = 65409u;
const uint16_t set_m2_front_pitch = 65217u;
const uint16_t set_m2_front_rebound = 65432u;
const uint16_t set_m2_front_compression = 65101u;
const uint16_t set_m2_rear_heave = 65468u;
const uint16_t set_m2_rear_wheel = 65248u;
const uint16_t set_m2_rear_base = 65493u;
const uint16_t set_m2_rear_roll = 65278u;
const uint16_t set_m2_rear_pitch = 65517u;
const uint16_t set_m2_rear_rebound = 65306u;
const uint16_t set_m2_rear_compression = 65414u;
const uint16_t set_m2_current_min_a = 65466u;
const uint16_t set_m2_current_max_a = 65502u;
const uint16_t set_m2_slew_a_per_s = 64854u;
const uint16_t set_m2_inverse_front_soft_a = 65466u;
const uint16_t set_m2_inverse_front_firm_a = 65502u;
const uint16_t set_m2_inverse_rear_soft_a = 65466u;
const uint16_t set_m2_inverse_rear_firm_a = 65502u;
/* SHA-256 of every byte before this line: af919aaf94dbc9082c71e6347b272ce0499681714ec72b411ae5c8394d59d5d8 */
