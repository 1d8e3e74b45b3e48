//! How the light falls: the forecast of EV at ISO 100.
