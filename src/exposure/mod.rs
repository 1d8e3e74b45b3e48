//! What was dialled and what it amounts to: exposure values, nominal series, settings.
