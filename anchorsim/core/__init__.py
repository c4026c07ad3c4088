"""Ground that everything stands on: units, tables, declared fields, files, the compiler."""
