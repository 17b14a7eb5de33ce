// The only file that knows WebGL: it draws triangles coloured by a value, or in one colour.

const VERTEX = `#version 300 es
uniform mat4 view;
in vec3 place;
in vec3 normal;
in float value;
in float along;
out vec3 facing;
out float shade;
out float at;
void main() {
  gl_Position = view * vec4(place, 1.0);
  facing = normal;
  shade = value;
  at = along;
}`;

const FRAGMENT = `#version 300 es
precision highp float;
uniform vec3 towards;
uniform vec2 range;
uniform vec2 kept;
uniform vec4 colour;
uniform sampler2D ramp;
in vec3 facing;
in float shade;
in float at;
out vec4 dot_colour;
void main() {
  if (at < kept.x || at > kept.y) discard;
  float share = clamp((shade - range.x) / (range.y - range.x), 0.0, 1.0);
  vec3 base = colour.a >= 0.0 ? colour.rgb
            : abs(shade) > 1e20 ? vec3(0.788, 0.776, 0.741)
            : texture(ramp, vec2(share * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
  float light = 0.72 + 0.28 * abs(dot(normalize(facing), towards));
  dot_colour = vec4(base * light, colour.a < 0.0 ? 1.0 : colour.a);
}`;

/** @type {Record<string, number>} */
const SIZES = { place: 3, normal: 3, value: 1, along: 1 };
/** Stands for NaN, of which shaders make what they like: so low that a triangle beside it is blank. */
const NOTHING = -1e30;
const BY_VALUE = [0, 0, 0, -1];
const EVERYWHERE = [-1e9, 1e9];

/**
 * A painter on a canvas, or null where the browser has no WebGL 2.
 * @param {HTMLCanvasElement} canvas
 * @returns {Painter | null}
 */
export function createPainter(canvas) {
  const gl = canvas.getContext("webgl2", { alpha: false, antialias: true, preserveDrawingBuffer: true });
  if (!gl) return null;
  const program = linked(gl);
  /** @type {Record<string, WebGLUniformLocation | null>} */
  const uniforms = {};
  for (const name of ["view", "towards", "range", "kept", "colour", "ramp"])
    uniforms[name] = gl.getUniformLocation(program, name);
  gl.useProgram(program);
  gl.enable(gl.DEPTH_TEST);
  gl.polygonOffset(2, 8);
  gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
  return { gl, canvas, program, uniforms, ramps: new Map() };
}

/**
 * @param {WebGL2RenderingContext} gl
 * @returns {WebGLProgram}
 */
function linked(gl) {
  const program = gl.createProgram();
  for (const { kind, text } of [
    { kind: gl.VERTEX_SHADER, text: VERTEX },
    { kind: gl.FRAGMENT_SHADER, text: FRAGMENT },
  ]) {
    const shader = gl.createShader(kind);
    if (!shader) throw new Error("The browser lost the canvas.");
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program) ?? "");
  return program;
}

/**
 * Keep a row of colours, 256 times red, green and blue, under a name.
 * @param {Painter} painter
 * @param {string} name
 * @param {Uint8Array} colours
 */
export function addRamp(painter, name, colours) {
  const { gl } = painter;
  const texture = gl.createTexture();
  gl.bindTexture(gl.TEXTURE_2D, texture);
  gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB8, 256, 1, 0, gl.RGB, gl.UNSIGNED_BYTE, colours);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR);
  gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
  painter.ramps.set(name, texture);
}

/**
 * Something to draw; `fill` sets its arrays, and only those that are passed change.
 * @param {Painter} painter
 * @returns {Shape}
 */
export function createShape(painter) {
  const { gl } = painter;
  return { vao: gl.createVertexArray(), buffers: {}, count: 0 };
}

/**
 * @param {Painter} painter
 * @param {Shape} shape
 * @param {Arrays} arrays
 */
export function fill(painter, shape, arrays) {
  const { gl, program } = painter;
  gl.bindVertexArray(shape.vao);
  for (const [name, data] of Object.entries(arrays)) {
    const target = name === "index" ? gl.ELEMENT_ARRAY_BUFFER : gl.ARRAY_BUFFER;
    shape.buffers[name] ??= gl.createBuffer();
    gl.bindBuffer(target, shape.buffers[name]);
    gl.bufferData(target, name === "value" ? withoutNaN(data) : data, gl.DYNAMIC_DRAW);
    if (name === "index") shape.count = data.length;
    else {
      const slot = gl.getAttribLocation(program, name);
      gl.enableVertexAttribArray(slot);
      gl.vertexAttribPointer(slot, SIZES[name], gl.FLOAT, false, 0, 0);
    }
  }
  gl.bindVertexArray(null);
}

/**
 * @param {Float32Array | Uint32Array} values
 * @returns {Float32Array}
 */
function withoutNaN(values) {
  return Float32Array.from(values, (value) => (Number.isNaN(value) ? NOTHING : value));
}

/**
 * Begin a picture: the canvas takes the size it is shown at.
 * @param {Painter} painter
 * @param {Vector} background
 */
export function begin(painter, background) {
  const { gl, canvas } = painter;
  const dots = window.devicePixelRatio || 1;
  const [wide, high] = [canvas.clientWidth * dots, canvas.clientHeight * dots].map(Math.round);
  if (canvas.width !== wide || canvas.height !== high) [canvas.width, canvas.height] = [wide, high];
  gl.viewport(0, 0, wide, high);
  gl.clearColor(background[0], background[1], background[2], 1);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
}

/**
 * Draw in a part of the canvas: left, bottom, width, height in dots of the page.
 * @param {Painter} painter
 * @param {number} left
 * @param {number} bottom
 * @param {number} width
 * @param {number} height
 */
export function within(painter, left, bottom, width, height) {
  const dots = window.devicePixelRatio || 1;
  painter.gl.viewport(left * dots, bottom * dots, width * dots, height * dots);
}

/**
 * Draw a shape; see the uniforms of the two programs for what `how` may hold.
 * @param {Painter} painter
 * @param {Shape} shape
 * @param {How} how
 */
export function draw(painter, shape, how) {
  if (!shape.count) return;
  const { gl } = painter;
  const colour = how.colour ?? BY_VALUE;
  setUniforms(painter, { ...how, colour });
  const seenThrough = colour[3] >= 0 && colour[3] < 1;
  // a little behind what it lies on, or both flicker
  if (how.behind) gl.enable(gl.POLYGON_OFFSET_FILL);
  if (seenThrough) gl.enable(gl.BLEND);
  gl.depthMask(!seenThrough);
  gl.bindVertexArray(shape.vao);
  gl.drawElements(gl.TRIANGLES, shape.count, gl.UNSIGNED_INT, 0);
  gl.bindVertexArray(null);
  gl.depthMask(true);
  if (seenThrough) gl.disable(gl.BLEND);
  if (how.behind) gl.disable(gl.POLYGON_OFFSET_FILL);
}

/**
 * Hand the program what a shape is drawn with.
 *
 * @param {Painter} painter
 * @param {How & { colour: number[] }} how
 */
function setUniforms({ gl, uniforms, ramps }, how) {
  gl.uniformMatrix4fv(uniforms.view, false, how.view);
  gl.uniform3fv(uniforms.towards, how.towards);
  gl.uniform2fv(uniforms.range, how.range);
  gl.uniform2fv(uniforms.kept, how.kept ?? EVERYWHERE);
  gl.uniform4fv(uniforms.colour, how.colour);
  gl.bindTexture(gl.TEXTURE_2D, ramps.get(how.ramp) ?? null);
}
