#include "takewright.hpp"

#include <cstdlib>
#include <fstream>
#include <sstream>

namespace takewright {

namespace {

/** Whether an address is one of this machine, which no proxy leads to. */
bool isLoopback(const std::string& server) {
  const std::string host = server.substr(0, server.rfind(':'));
  return host == "localhost" || host == "[::1]" || host.rfind("127.", 0) == 0;
}

std::string absolute(const std::string& file) {
  // The service has another working directory.
  std::unique_ptr<char, decltype(&std::free)> real(realpath(file.c_str(), nullptr), &std::free);
  if (!real) throw Problem(file + " does not exist");
  return real.get();
}

/** A path for a file that need not exist. */
std::string absoluteOutput(const std::string& file) {
  const size_t slash = file.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : file.substr(0, slash + 1);
  return absolute(folder) + "/" + file.substr(slash == std::string::npos ? 0 : slash + 1);
}

}  // namespace

Client::Client(Options options) : options_(std::move(options)) {
  if (options_.tokenFile.empty()) {
    const char* home = std::getenv("HOME");
    options_.tokenFile = std::string(home ? home : ".") + "/.takewright/token-" +
                         options_.server.substr(options_.server.rfind(':') + 1);
  }
  context();  // says at once where the token cannot be read
  std::shared_ptr<grpc::ChannelCredentials> credentials = grpc::InsecureChannelCredentials();
  if (!options_.tlsCa.empty()) {
    std::ifstream in(options_.tlsCa);
    std::ostringstream certificate;
    if (!(certificate << in.rdbuf())) throw Problem(options_.tlsCa + " cannot be read; give the CA's certificate (PEM)");
    grpc::SslCredentialsOptions tls;
    tls.pem_root_certs = certificate.str();
    credentials = grpc::SslCredentials(tls);
  }
  grpc::ChannelArguments arguments;
  // A proxy of the environment is for other machines, not for a service on this one.
  arguments.SetInt(GRPC_ARG_ENABLE_HTTP_PROXY, isLoopback(options_.server) ? 0 : 1);
  channel_ = grpc::CreateCustomChannel(options_.server, credentials, arguments);
}

std::unique_ptr<grpc::ClientContext> Client::context() const {
  std::ifstream in(options_.tokenFile);
  std::string token;
  if (!(in >> token)) {
    throw Problem(options_.tokenFile + " cannot be read; ./takewright serve writes it as it starts and names it");
  }
  auto context = std::make_unique<grpc::ClientContext>();
  context->AddMetadata("authorization", "Bearer " + token);
  return context;
}

std::unique_ptr<grpc::ClientContext> Client::timedContext() const {
  auto context = this->context();
  context->set_deadline(std::chrono::system_clock::now() +
                        std::chrono::milliseconds(static_cast<int64_t>(1000 * options_.timeoutS)));
  return context;
}

/** Why there is no connection: the library tells it in words only. */
static std::string withoutConnection(const std::string& details, const std::string& server) {
  const auto says = [&details](const char* words) { return details.find(words) != std::string::npos; };
  if (says("stopping")) return details;
  if (says("certificate verify failed") || says("CERTIFICATE_VERIFY_FAILED")) {
    return "the certificate of " + server + " is not signed by the CA that --tls-ca names; name the right one";
  }
  if (says("wrong version number") || says("WRONG_VERSION_NUMBER")) {
    return "the service at " + server + " does not use TLS; leave --tls-ca out";
  }
  if (says("ocket closed") || says("read failed") || says("certificate required") || says("reset")) {
    return server + " closed the connection; if the service uses TLS, name its CA with --tls-ca; if it wants clients to" +
           " have a certificate, use ./takewright with --tls-cert and --tls-key";
  }
  return "no service answers at " + server + "; start one with ./takewright serve --allow FOLDER";
}

void Client::require(const grpc::Status& status) const {
  static const char* const codes[] = {
      "OK", "CANCELLED", "UNKNOWN", "INVALID_ARGUMENT", "DEADLINE_EXCEEDED", "NOT_FOUND",
      "ALREADY_EXISTS", "PERMISSION_DENIED", "RESOURCE_EXHAUSTED", "FAILED_PRECONDITION", "ABORTED",
      "OUT_OF_RANGE", "UNIMPLEMENTED", "INTERNAL", "UNAVAILABLE", "DATA_LOSS", "UNAUTHENTICATED"};
  if (status.ok()) return;
  if (status.error_code() == grpc::StatusCode::UNAVAILABLE) {
    throw Refused(status, withoutConnection(status.error_message(), options_.server));
  }
  std::string line = std::string(codes[status.error_code()]) + ": " + status.error_message();
  if (status.error_code() == grpc::StatusCode::DEADLINE_EXCEEDED) line += "; --timeout gives a call more seconds";
  if (status.error_code() == grpc::StatusCode::PERMISSION_DENIED) line += ", or send the audio with --stream";
  throw Refused(status, line);
}

/** Sends the settings, then the audio, if it is this program's, while another thread reads the responses. */
template <class Request, class Stream, class Config>
std::thread Client::ask(Stream& stream, const Source& source, Config config) const {
  const WavFile* wav = std::get_if<WavFile>(&source);
  if (wav) {
    *config.mutable_input()->mutable_pcm() = wav->format();
  } else {
    config.mutable_input()->set_file(absolute(std::get<std::string>(source)));
  }
  Request settings;
  *settings.mutable_config() = std::move(config);
  return std::thread([&stream, settings, wav] {
    bool isOpen = stream.Write(settings);
    if (wav && isOpen) {
      Request audio;
      try {
        wav->read([&](const std::string& piece) {
          audio.set_audio(piece);
          return stream.Write(audio);
        });
      } catch (const Problem&) {
        // The service says that the audio ended early.
      }
    }
    stream.WritesDone();
  });
}

v1::GetServerInfoResponse Client::info() const {
  auto context = timedContext();
  v1::GetServerInfoResponse response;
  require(v1::ServerService::NewStub(channel_)->GetServerInfo(context.get(), {}, &response));
  return response;
}

std::vector<v1::Region> Client::segment(const Source& take, v1::SegmentConfig config, int* rateHz) const {
  auto context = timedContext();
  auto stream = v1::OperationsService::NewStub(channel_)->Segment(context.get());
  std::thread sending = ask<v1::SegmentRequest>(*stream, take, std::move(config));
  std::vector<v1::Region> regions;
  v1::SegmentResponse response;
  while (stream->Read(&response)) {
    if (response.has_region()) regions.push_back(response.region());
    if (response.has_input()) *rateHz = response.input().sample_rate_hz();
  }
  sending.join();
  require(stream->Finish());
  return regions;
}

v1::SampleFacts Client::analyse(const Source& sample, v1::AnalyseConfig config) const {
  auto context = timedContext();
  auto stream = v1::OperationsService::NewStub(channel_)->Analyse(context.get());
  std::thread sending = ask<v1::AnalyseRequest>(*stream, sample, std::move(config));
  v1::SampleFacts facts;
  v1::AnalyseResponse response;
  while (stream->Read(&response)) {
    if (response.has_facts()) facts = response.facts();
  }
  sending.join();
  require(stream->Finish());
  return facts;
}

/** A call that makes sound. */
template <class Report, class Request, class Response, class Config>
Report Client::change(grpc::ClientContext& context,
                      std::unique_ptr<grpc::ClientReaderWriter<Request, Response>> stream, const Source& source,
                      const std::string& output, const Sink& sink, Config config) const {
  const WavFile* wav = std::get_if<WavFile>(&source);
  if (!output.empty()) {
    config.mutable_output()->set_file(absoluteOutput(output));
  } else {
    config.mutable_output()->set_pcm(wav ? wav->format().encoding() : v1::PCM_ENCODING_INT24);
  }
  std::thread sending = ask<Request>(*stream, source, std::move(config));
  Report report;
  Response response;
  try {
    while (stream->Read(&response)) {
      if (response.has_format()) sink.begin(response.format());
      if (response.has_audio()) sink.write(response.audio());
      if (response.has_report()) report = response.report();
    }
  } catch (...) {
    context.TryCancel();  // the file cannot be written: the other thread stops
    sending.join();
    throw;
  }
  sending.join();
  require(stream->Finish());
  return report;
}

v1::DenoiseReport Client::denoise(const Source& source, const std::string& output, const Sink& sink,
                                  v1::DenoiseConfig config) const {
  auto context = timedContext();
  auto stream = v1::OperationsService::NewStub(channel_)->Denoise(context.get());
  return change<v1::DenoiseReport>(*context, std::move(stream), source, output, sink, std::move(config));
}

v1::RetuneReport Client::retune(const Source& source, const std::string& output, const Sink& sink,
                                v1::RetuneConfig config) const {
  auto context = timedContext();
  auto stream = v1::OperationsService::NewStub(channel_)->Retune(context.get());
  return change<v1::RetuneReport>(*context, std::move(stream), source, output, sink, std::move(config));
}

v1::LayerReport Client::layer(const Source& source, const std::string& output, const Sink& sink,
                              v1::LayerConfig config) const {
  auto context = timedContext();
  auto stream = v1::OperationsService::NewStub(channel_)->Layer(context.get());
  return change<v1::LayerReport>(*context, std::move(stream), source, output, sink, std::move(config));
}

std::string Client::startBuild(const std::string& sheet, const std::string& outputFolder) const {
  auto context = timedContext();
  v1::StartBuildRequest request;
  request.set_sheet_file(absolute(sheet));
  request.set_output_folder(absoluteOutput(outputFolder));
  v1::StartBuildResponse response;
  require(v1::LibraryService::NewStub(channel_)->StartBuild(context.get(), request, &response));
  return response.build().build_id();
}

std::string Client::resumeBuild(const std::string& id) const {
  auto context = timedContext();
  v1::ResumeBuildRequest request;
  request.set_build_id(id);
  v1::ResumeBuildResponse response;
  require(v1::LibraryService::NewStub(channel_)->ResumeBuild(context.get(), request, &response));
  return response.build().build_id();
}

void Client::watchBuild(const std::string& id, const std::function<void(const v1::WatchBuildResponse&)>& take) const {
  auto context = this->context();
  v1::WatchBuildRequest request;
  request.set_build_id(id);
  request.set_with_pictures(true);
  auto reader = v1::LibraryService::NewStub(channel_)->WatchBuild(context.get(), request);
  v1::WatchBuildResponse response;
  while (reader->Read(&response)) take(response);
  require(reader->Finish());
}

std::string Client::formatName(const v1::NameFacts& facts) const {
  auto context = timedContext();
  v1::FormatNameRequest request;
  *request.mutable_facts() = facts;
  v1::FormatNameResponse response;
  require(v1::NamingService::NewStub(channel_)->FormatName(context.get(), request, &response));
  return response.name();
}

v1::NameFacts Client::parseName(const std::string& name) const {
  auto context = timedContext();
  v1::ParseNameRequest request;
  request.set_name(name);
  v1::ParseNameResponse response;
  require(v1::NamingService::NewStub(channel_)->ParseName(context.get(), request, &response));
  return response.facts();
}

}  // namespace takewright
