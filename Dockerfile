# The same static binary as `CGO_ENABLED=0 go build`, in an image with nothing
# else: no shell, no root, one volume.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /fairladle ./cmd/fairladle && mkdir /data

FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build --chown=65532:65532 /data /data
COPY --from=build /fairladle /fairladle
USER 65532:65532
VOLUME /data
EXPOSE 8080
ENV FAIRLADLE_DATA=/data FAIRLADLE_LISTEN=0.0.0.0:8080
HEALTHCHECK --interval=30s --timeout=3s CMD ["/fairladle", "healthy"]
ENTRYPOINT ["/fairladle"]
CMD ["serve"]
