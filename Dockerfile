# The wheel is built in one stage with the build backend pinned by hash, installed in the next with every dependency
# pinned by hash, and only the finished environment comes into the image that runs.
FROM python:3.11-slim AS build
WORKDIR /src
COPY .ci/build.lock ./
RUN python -m venv /opt/build && /opt/build/bin/pip install --no-cache-dir --require-hashes -r build.lock
COPY pyproject.toml README.md LICENSE ./
COPY service service
COPY openapi/examples openapi/examples
RUN /opt/build/bin/python -m hatchling build -t wheel -d /src/dist

FROM python:3.11-slim AS install
WORKDIR /src
COPY requirements.lock ./
RUN python -m venv /opt/evenhang && /opt/evenhang/bin/pip install --no-cache-dir --require-hashes -r requirements.lock
COPY --from=build /src/dist /src/dist
RUN /opt/evenhang/bin/pip install --no-cache-dir --no-deps --no-index dist/*.whl && /opt/evenhang/bin/evenhang --help

FROM python:3.11-slim
RUN useradd --system --no-create-home --uid 10001 evenhang
COPY --from=install /opt/evenhang /opt/evenhang
# Pictures: which fonts there are is found once, here, and not at the first picture. Elsewhere than in a home, which the user lacks.
ENV MPLCONFIGDIR=/opt/evenhang/fonts
RUN /opt/evenhang/bin/python -c "import matplotlib.font_manager" && chown -R evenhang /opt/evenhang/fonts
ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1
USER 10001
# Ready means: the rules are loaded and hold together. No curl in the image, so Python asks.
HEALTHCHECK --interval=30s --timeout=3s --start-period=10s --retries=3 \
    CMD ["/opt/evenhang/bin/python", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8317/health/ready', timeout=2)"]
# Without keys loopback only: share the network namespace of the caller or of a proxy. With a key file mounted:
#     docker run -v /etc/evenhang:/etc/evenhang:ro -p 8317:8317 evenhang serve --host 0.0.0.0 --keys /etc/evenhang/keys.toml --rules /etc/evenhang/rules
ENTRYPOINT ["/opt/evenhang/bin/evenhang"]
CMD ["serve"]
