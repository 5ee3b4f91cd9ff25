const float set_heave_rows[1] = { 1.0f };
