"""What everything stands on: units, declared fields, tables, files, errors, templates, the compiler.

Door: amount, arguments, clock, csv_columns, display, errors, file_lock, file_names, jit, markup, model,
optional_imports, picture_size, reading, resources, tables, toml_file, units, writing.
"""
