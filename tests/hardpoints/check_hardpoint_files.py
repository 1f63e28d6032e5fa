# SPDX-License-Identifier: Apache-2.0
"""Judges files with other people's libraries: hardpoint files against the published JSON Schema (python3-jsonschema),
drawings by their own reader and auditor (python3-ezdxf).

    check_hardpoint_files.py json SCHEMA FILE...   exit code 1 and the reason for a file that does not fit
    check_hardpoint_files.py dxf FILE              prints each entity: POINT x y z / TEXT name / LINE x y z x y z
"""
import json
import sys


def check_json(schema_file, files):
    import jsonschema

    with open(schema_file, encoding="utf-8") as text:
        schema = json.load(text)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    wrong = 0
    for file in files:
        with open(file, encoding="utf-8") as text:
            for error in validator.iter_errors(json.load(text)):
                print(f"{file}: {'/'.join(map(str, error.absolute_path))}: {error.message[:300]}")
                wrong = 1
    return wrong


def print_dxf(file):
    import ezdxf

    drawing = ezdxf.readfile(file)
    errors = drawing.audit().errors
    for error in errors:
        print("ERROR", error.message)
    print("VERSION", drawing.dxfversion)
    for entity in drawing.modelspace():
        kind = entity.dxftype()
        if kind == "POINT":
            print("POINT", *(f"{c:.6f}" for c in entity.dxf.location))
        elif kind == "TEXT":
            print("TEXT", entity.dxf.text)
        elif kind == "LINE":
            print("LINE", *(f"{c:.6f}" for c in (*entity.dxf.start, *entity.dxf.end)))
    return 1 if errors else 0


if __name__ == "__main__":
    if sys.argv[1] == "json":
        sys.exit(check_json(sys.argv[2], sys.argv[3:]))
    sys.exit(print_dxf(sys.argv[2]))
