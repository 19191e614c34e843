# Not part of the ordinary run until it ends by itself on every machine; run it by naming the file.
collect_ignore = ["test_generated.py", "test_command_findings.py"]
