FROM python:3.11-slim AS build
WORKDIR /src
COPY pyproject.toml README.md ./
COPY service service
RUN python -m venv /opt/evenhang && /opt/evenhang/bin/pip install --no-cache-dir .

FROM python:3.11-slim
RUN useradd --system --no-create-home evenhang
COPY --from=build /opt/evenhang /opt/evenhang
USER evenhang
# Loopback only until keys exist: share the network namespace of the caller or of a proxy.
ENTRYPOINT ["/opt/evenhang/bin/evenhang"]
CMD ["serve"]
