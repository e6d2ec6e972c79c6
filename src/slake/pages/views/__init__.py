"""One module per thing a page is about. A view: form, one action, one answer."""
