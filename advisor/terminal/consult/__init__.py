"""The two consultations as commands: the conversation, the advice, the diagnosis, the sheet."""
