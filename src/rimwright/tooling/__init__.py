"""Form, rams, cauls, mould and slats for an outline and a stack."""
