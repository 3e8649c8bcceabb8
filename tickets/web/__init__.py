"""The pages that floor and desk live in: one module a page, put together by `app.build_app`."""
