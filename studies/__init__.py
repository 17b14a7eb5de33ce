"""From a study file to results: schema, runner, files, pictures, command line."""
