"""The format of a study file: tables, keys, values, rules, and the sentences of a refusal."""
