"""What everything stands on: units, declared fields, tables, files, errors, templates, the compiler.

Door: arguments, clock, csv_columns, display, errors, file_lock, file_names, jit, markup, model,
picture_size, reading, resources, tables, toml_file, units, writing.
"""
