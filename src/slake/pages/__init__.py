"""Pages: each asks in a form, calls one action, and shows one answer. They read rows and never write them."""
