"""MkDocs plug-in, page models and charts: computed results in, pages out."""
