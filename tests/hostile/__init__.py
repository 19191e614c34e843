"""Rule files, answers, journals, exports, drawings and keystrokes that are nearly right, thrown at the program.

No traceback, 5 s of the processor, 500 MB, nothing opened outside the named folders, nothing run. Each find is a
test in ``test_findings`` and its neighbours. The guided fuzzers (``guided_*``) stay outside the suite. What was
decided:

- A journal is gone through an entry at a time wherever it may be long; an import is read twice, so that nothing is
  begun with an export that is bad further on.
- A rule base has a greatest size (``rulebase.compiling.limits``), and a bound on the work of one question.
- Facts may not follow from each other in a circle, as quantities may not.
- A journal whose tables, indexes or triggers are not exactly the program's own is refused before anything in it
  runs; so is a note of unfinished writing that names a further file, because the database would read and remove
  that file.
- Cells of CSV that a spreadsheet would take for a formula get a ``'`` in front, taken off again at import.
- A link in place of a file that is replaced is replaced itself. Links in a rules folder are followed.
- No command writes over a file of another kind (``terminal.writing``), whatever is said.
- Text from outside is shown with question marks in place of anything a terminal would obey.

A loop inside the interpreter's own C code hears no signal; there the guard ends the whole process, and a run says so.
"""
