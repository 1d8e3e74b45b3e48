mod ev;
mod series;
mod settings;
