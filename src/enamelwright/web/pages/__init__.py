"""One file a page; its place in the navigation stands in :mod:`enamelwright.web.page`."""
